/*
 * sim_scenario.h: what happens to the simulated rover, read from a file of the
 * host. Leave it out on your machine.
 *
 * A line has a time in milliseconds, a word and up to three numbers; lines are in
 * the order of time. "#" begins a comment. The words are listed in
 * board_sim.c.
 */
#ifndef SIM_SCENARIO_H
#define SIM_SCENARIO_H

#include <stdbool.h>
#include <stdint.h>

#include "text.h"

typedef struct {
    uint32_t time_ms;
    char word[20];
    int32_t numbers[3];
    uint32_t count;                  /* of numbers */
    text_t text;                     /* the line, without time and comment */
} sim_event_t;

/* Reads the next event from a file of semihost.h. False at its end; *wrong is set
 * when a line cannot be read. */
bool sim_scenario_next(int32_t file, sim_event_t *event, bool *wrong);

#endif /* SIM_SCENARIO_H */
