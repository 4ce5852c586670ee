/*
 * Site shift of one day for mission "walnut-grove-rows", of the occupations of 2026-05-10.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 e047854f180e44df758e9a01137918a4c801770b9e459ac64c1e4f606483a9a8
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
        0xE0u, 0x47u, 0x85u, 0x4Fu, 0x18u, 0x0Eu, 0x44u, 0xDFu,
        0x75u, 0x8Eu, 0x9Au, 0x01u, 0x13u, 0x79u, 0x18u, 0xA4u,
        0xC8u, 0x01u, 0x77u, 0x0Bu, 0x9Eu, 0x45u, 0x9Au, 0xC6u,
        0x4Cu, 0x1Eu, 0x4Fu, 0x60u, 0x64u, 0x83u, 0xA9u, 0xA8u
    },
    20260510u, /* day */
    25, /* east_mm */
    -29, /* north_mm */
    -8300239 /* sine_q30 */
};

/* A negative array size stops the compilation: this is for another guidance header. */
typedef char walnut_grove_rows_check_shift[(MERE_RECORD_FORMAT == 3) ? 1 : -1];

#endif /* WALNUT_GROVE_ROWS_SHIFT_H */
