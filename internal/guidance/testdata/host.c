/*
 * Runs test vectors on the host. "host FIRST COUNT" prints the digest of each of
 * COUNT blocks from FIRST on; "host trace BLOCK" prints every number of a block;
 * "host null" calls what may be called with null pointers, and fails when one of them
 * says yes.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "mission.h"

static int tracing;

static void trace(const char *text, long long value)
{
    if (tracing) {
        (void)printf("%s=%lld ", text, value);
    }
}

static void trace_end(void)
{
    if (tracing) {
        (void)putchar('\n');
    }
}

#include "vectors.h"

/* Null pointers in each place: nothing is written, and nothing drives. */
static int nulls(void)
{
    static mere_state_t state;
    static mere_input_t input;
    static mere_output_t output;
    static mere_memory_t memory;
    mere_site_shift_t shift = { { 0u }, 0u, 0, 0, 0 };
    int wrong = 0;

    wrong += mere_start(&MISSION, NULL, 0u) || mere_start(NULL, &state, 0u);
    wrong += !mere_start(&MISSION, &state, 0u);
    wrong += mere_start(NULL, &state, 0u); /* which the state remembers */
    mere_step(&MISSION, &state, &input, &output);
    wrong += output.reasons != (uint32_t)MERE_BAD_MISSION;
    wrong += !mere_start(&MISSION, &state, 0u);
    wrong += mere_set_shift(NULL, &state, &shift) || mere_set_shift(&MISSION, NULL, &shift);
    wrong += mere_set_shift(&MISSION, &state, NULL) || mere_clear_shift(NULL);
    wrong += mere_remember(NULL, 1u, &memory) || mere_remember(&state, 1u, NULL);
    wrong += mere_recall(NULL, &state, &memory, 1u) || mere_recall(&MISSION, NULL, &memory, 1u);
    wrong += mere_recall(&MISSION, &state, NULL, 1u);
    mere_step(&MISSION, &state, &input, NULL);
    output.drive_enable = true;
    mere_step(NULL, &state, &input, &output);
    wrong += output.drive_enable || (output.reasons != (uint32_t)MERE_BAD_MISSION);
    output.drive_enable = true;
    mere_step(&MISSION, NULL, &input, &output);
    wrong += output.drive_enable || (output.reasons != (uint32_t)MERE_BAD_MISSION);
    output.drive_enable = true;
    mere_step(&MISSION, &state, NULL, &output);
    wrong += output.drive_enable || (output.reasons != (uint32_t)MERE_BAD_MISSION);
    return wrong;
}

int main(int argc, char **argv)
{
    if ((argc == 2) && (strcmp(argv[1], "null") == 0)) {
        return nulls();
    }
    if ((argc == 3) && (strcmp(argv[1], "trace") == 0)) {
        tracing = 1;
        (void)vectors_block((uint32_t)strtoul(argv[2], NULL, 10));
        return 0;
    }
    if (argc == 3) {
        const uint32_t first = (uint32_t)strtoul(argv[1], NULL, 10);
        const uint32_t count = (uint32_t)strtoul(argv[2], NULL, 10);
        uint32_t i;

        for (i = 0u; i < count; i++) {
            (void)printf("%016llx\n", (unsigned long long)vectors_block(first + i));
        }
        return 0;
    }
    return 2;
}
