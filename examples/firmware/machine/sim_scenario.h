/*
 * sim_scenario.h: what happens to the simulated rover, read from a file of the
 * host. Leave it out on your machine.
 *
 * A line has a time in milliseconds, a word and up to three numbers; lines are in
 * the order of time. "#" begins a comment. The words are listed in board_sim.c, but
 * for one: "include" and the name of another file, whose lines come in its place, with
 * times counted from that of the word. A file that is included includes no other.
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

/* The files that are being read. */
typedef struct {
    int32_t file;                    /* of semihost.h */
    int32_t included;                /* likewise, below 0: none */
    uint32_t from_ms;                /* of the included file's times */
} sim_script_t;

/* Reads the next event. False at the end; *wrong is set when a line cannot be read, or
 * a file cannot be opened. */
bool sim_scenario_next(sim_script_t *script, sim_event_t *event, bool *wrong);

#endif /* SIM_SCENARIO_H */
