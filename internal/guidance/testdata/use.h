/* What use.c offers to both.c. */
#include "merestone_guidance.h"

bool use_start(const mere_mission_t *mission, mere_state_t *state, uint16_t leg);
bool use_clear_shift(mere_state_t *state);
bool use_remember(const mere_state_t *state, uint32_t day, mere_memory_t *memory);
bool use_recall(const mere_mission_t *mission, mere_state_t *state, const mere_memory_t *memory, uint32_t day);
uint8_t use_quality(uint8_t digit);
bool use_shift(const mere_mission_t *mission, mere_state_t *state, const mere_site_shift_t *shift);
void use_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input, mere_output_t *output);
const char *use_text(uint32_t reasons);
