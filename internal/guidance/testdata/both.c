/*
 * A second translation unit with both headers, and a program. Linked with use.c it
 * shows that the headers may be included more than once in a program.
 */
#include "mission.h"
#include "use.h"

int main(void)
{
    static mere_state_t state;
    static mere_input_t input;
    static mere_output_t output;
    mere_site_shift_t shift = { { 0u }, 20260510u, 1, 2, 3 };
    int status = 0;
    uint32_t i;

    for (i = 0u; i < sizeof(shift.digest); i++) {
        shift.digest[i] = MISSION.record.digest[i];
    }
    if ((!use_start(&MISSION, &state, 0u)) || (!use_shift(&MISSION, &state, &shift)) || (!use_start(&MISSION, &state, 0u))
        || (state.shift.east_mm != 1) || (state.shift.north_mm != 2)) {
        status = 1;
    }
    mere_step(&MISSION, &state, &input, &output);
    if ((output.phase != MERE_STOPPED) || ((output.reasons & (uint32_t)MERE_NO_FIX) == 0u)) {
        status = 2;
    }
    use_step(&MISSION, &state, &input, &output);
    if (output.drive_enable || (use_text(output.reasons)[0] == '\0')) {
        status = 3;
    }
    return status;
}
