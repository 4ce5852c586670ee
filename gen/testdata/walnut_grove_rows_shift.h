/*
 * Site shift of one day for mission "walnut-grove-rows": occupy the control marks anew on the
 * next. Before the drive:
 *
 *     mere_set_shift(&walnut_grove_rows_mission, &state, walnut_grove_rows_shift_east_mm,
 *                    walnut_grove_rows_shift_north_mm, walnut_grove_rows_shift_sine_q30)
 */
#ifndef WALNUT_GROVE_ROWS_SHIFT_H
#define WALNUT_GROVE_ROWS_SHIFT_H

#include <stdint.h>

static const int32_t walnut_grove_rows_shift_east_mm = 25;
static const int32_t walnut_grove_rows_shift_north_mm = -29;
static const int32_t walnut_grove_rows_shift_sine_q30 = -8300239; /* rotation from east towards north */

#endif /* WALNUT_GROVE_ROWS_SHIFT_H */
