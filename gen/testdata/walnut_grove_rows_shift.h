/*
 * Site shift of one day for mission "walnut-grove-rows", of the occupations of 2026-05-10.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 dea146947583bf3de34f210c04688e9f03d64ccc85630f96afc502fa879f4723
 *
 * Found on K1, K2: known to 15.8 mm per axis (one standard deviation) at the
 * farthest place of route and fence; the mission was checked with 15.8 mm.
 *
 * Before the drive:
 *
 *     mere_set_shift(&walnut_grove_rows_mission, &state, &walnut_grove_rows_shift)
 *
 * The board refuses it for another plan. It does not know the date: a firmware that
 * does compares walnut_grove_rows_shift.day with it. Occupy the control marks anew on the next
 * day, and whenever the base was set up anew.
 */
#ifndef WALNUT_GROVE_ROWS_SHIFT_H
#define WALNUT_GROVE_ROWS_SHIFT_H

#include "merestone_guidance.h"

/* digest of the plan; day; east, north (mm); sine of the rotation from east towards
 * north (Q30) */
static const mere_site_shift_t walnut_grove_rows_shift = {
    {
        0xDEu, 0xA1u, 0x46u, 0x94u, 0x75u, 0x83u, 0xBFu, 0x3Du,
        0xE3u, 0x4Fu, 0x21u, 0x0Cu, 0x04u, 0x68u, 0x8Eu, 0x9Fu,
        0x03u, 0xD6u, 0x4Cu, 0xCCu, 0x85u, 0x63u, 0x0Fu, 0x96u,
        0xAFu, 0xC5u, 0x02u, 0xFAu, 0x87u, 0x9Fu, 0x47u, 0x23u
    },
    20260510u, /* day */
    25, /* east_mm */
    -29, /* north_mm */
    -8300239 /* sine_q30 */
};

/* A negative array size stops the compilation: this is for another guidance header. */
typedef char walnut_grove_rows_check_shift[(MERE_RECORD_FORMAT == 3) ? 1 : -1];

#endif /* WALNUT_GROVE_ROWS_SHIFT_H */
