/*
 * Site shift of one day for mission "walnut-grove-rows", of the occupations of 2026-05-10.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 3c5d0a2b2e7f134088c216920d14c6fa364a51893221d593f55522290dac59e2
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
        0x3Cu, 0x5Du, 0x0Au, 0x2Bu, 0x2Eu, 0x7Fu, 0x13u, 0x40u,
        0x88u, 0xC2u, 0x16u, 0x92u, 0x0Du, 0x14u, 0xC6u, 0xFAu,
        0x36u, 0x4Au, 0x51u, 0x89u, 0x32u, 0x21u, 0xD5u, 0x93u,
        0xF5u, 0x55u, 0x22u, 0x29u, 0x0Du, 0xACu, 0x59u, 0xE2u
    },
    20260510u, /* day */
    25, /* east_mm */
    -29, /* north_mm */
    -8300239 /* sine_q30 */
};

/* A negative array size stops the compilation: this is for another guidance header. */
typedef char walnut_grove_rows_check_shift[(MERE_RECORD_FORMAT == 3) ? 1 : -1];

#endif /* WALNUT_GROVE_ROWS_SHIFT_H */
