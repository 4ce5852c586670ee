/*
 * Site shift of one day for mission "walnut-grove-rows", of the occupations of 2026-05-10.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 ecd9c97d970c447848a2a356d9c874589e5199769b2ea348db5c22d1b791bee4
 *
 * Found on K1, K2: known to 15.8 mm per axis (one standard deviation) at the
 * farthest place of route and fence; the mission was proved with 15.8 mm.
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
        0xECu, 0xD9u, 0xC9u, 0x7Du, 0x97u, 0x0Cu, 0x44u, 0x78u,
        0x48u, 0xA2u, 0xA3u, 0x56u, 0xD9u, 0xC8u, 0x74u, 0x58u,
        0x9Eu, 0x51u, 0x99u, 0x76u, 0x9Bu, 0x2Eu, 0xA3u, 0x48u,
        0xDBu, 0x5Cu, 0x22u, 0xD1u, 0xB7u, 0x91u, 0xBEu, 0xE4u
    },
    20260510u, /* day */
    25, /* east_mm */
    -29, /* north_mm */
    -8300239 /* sine_q30 */
};

/* A negative array size stops the compilation: this is for another guidance header. */
typedef char walnut_grove_rows_check_shift[(MERE_RECORD_FORMAT == 2) ? 1 : -1];

#endif /* WALNUT_GROVE_ROWS_SHIFT_H */
