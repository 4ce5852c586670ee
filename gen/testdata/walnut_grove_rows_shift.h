/*
 * Site shift of one day for mission "walnut-grove-rows", of the occupations of 2026-05-10.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 e8b0580444980a67354bb9b6a3519d74ea737da2682cc20043cd2e59e783c3ce
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
        0xE8u, 0xB0u, 0x58u, 0x04u, 0x44u, 0x98u, 0x0Au, 0x67u,
        0x35u, 0x4Bu, 0xB9u, 0xB6u, 0xA3u, 0x51u, 0x9Du, 0x74u,
        0xEAu, 0x73u, 0x7Du, 0xA2u, 0x68u, 0x2Cu, 0xC2u, 0x00u,
        0x43u, 0xCDu, 0x2Eu, 0x59u, 0xE7u, 0x83u, 0xC3u, 0xCEu
    },
    20260510u, /* day */
    25, /* east_mm */
    -29, /* north_mm */
    -8300239 /* sine_q30 */
};

/* A negative array size stops the compilation: this is for another guidance header. */
typedef char walnut_grove_rows_check_shift[(MERE_RECORD_FORMAT == 3) ? 1 : -1];

#endif /* WALNUT_GROVE_ROWS_SHIFT_H */
