/*
 * report.h: one line of text for each thing that happens, for an operator's
 * display or a log. Keep it, change it, or leave it out: driving does not need it.
 */
#ifndef REPORT_H
#define REPORT_H

#include <stdint.h>

#include "merestone_guidance.h"

/* Writes the lines of one step, with board_print. was is the phase before it. */
void report_step(uint32_t time_ms, const mere_mission_t *mission, mere_phase_t was, const mere_output_t *output);

/* Writes a line of a few words. */
void report_note(uint32_t time_ms, const char *words);

#endif /* REPORT_H */
