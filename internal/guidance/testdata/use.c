/*
 * Uses all of the guidance header, in a translation unit of its own and without a
 * mission: what is compiled, measured and analysed on its own.
 */
#include "use.h"

bool use_start(const mere_mission_t *mission, mere_state_t *state, uint16_t leg)
{
    return mere_start(mission, state, leg);
}

bool use_clear_shift(mere_state_t *state)
{
    return mere_clear_shift(state);
}

bool use_remember(const mere_state_t *state, uint32_t day, mere_memory_t *memory)
{
    return mere_remember(state, day, memory);
}

bool use_recall(const mere_mission_t *mission, mere_state_t *state, const mere_memory_t *memory, uint32_t day)
{
    return mere_recall(mission, state, memory, day);
}

uint8_t use_quality(uint8_t digit)
{
    return mere_quality_from_gga(digit);
}

bool use_shift(const mere_mission_t *mission, mere_state_t *state, const mere_site_shift_t *shift)
{
    return mere_set_shift(mission, state, shift);
}

void use_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input, mere_output_t *output)
{
    mere_step(mission, state, input, output);
}

const char *use_text(uint32_t reasons)
{
    return mere_reason_text(reasons);
}
