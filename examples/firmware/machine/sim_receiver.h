/*
 * sim_receiver.h: a simulated satellite receiver that writes a GGA sentence with each
 * fix and a ZDA sentence each second, or one that says again what was recorded.
 * Leave it out on your machine.
 *
 * A position holds for the instant at which it was measured, and its sentence
 * arrives receiver.latency later, as the mission file says. The positions are the
 * antenna's true ones with noise: a fast part of 2 mm, and a slow one that wanders
 * by some 15 mm (standard deviations), as fixed solutions do.
 */
#ifndef SIM_RECEIVER_H
#define SIM_RECEIVER_H

#include <stdbool.h>
#include <stdint.h>

#include "merestone_guidance.h"
#include "sim_rover.h"
#include "text.h"

enum sim_queue { SIM_QUEUE = 64 };

/* A sentence on its way. */
typedef struct {
    text_t text;
    uint32_t held_ms;                /* the instant that its position holds for */
    uint32_t due_ms;
    bool used;
} sim_sentence_t;

typedef struct {
    const mere_mission_t *mission;
    sim_sentence_t queue[SIM_QUEUE];
    uint32_t in;                     /* where the next sentence is put */
    uint32_t out;                    /* the sentence that is being read */
    uint32_t last;                   /* where the last one with a position was put */
    uint32_t read;                   /* bytes of it that have been */
    uint32_t held_ms;                /* of the last sentence that was read to its end */
    mere_point_t wander_um;
    uint32_t noise;
    int32_t record;                  /* file that takes every sentence, below 0: none */
    /* a recording */
    int32_t replay;                  /* file, below 0: simulate */
    text_t line;                     /* read from it, not yet due */
    uint32_t first_ms;               /* time of day of its first sentence */
    uint32_t line_ms;                /* that of the line */
    bool line_ready;
    bool first_known;
    /* what goes wrong */
    bool silent;
    bool frozen;                     /* says the last sentence again and again */
    bool garbled;                    /* a byte of each sentence is wrong */
    bool noiseless;
    bool standing;                   /* its time goes on, its positions stay where they were */
    mere_point_t stood_at;
    uint32_t behind_ms;              /* sentences come so much too late ... */
    uint32_t behind_at_last_ms;      /* ... and, each later than the one before, so much in the end */
    char quality;                    /* digit of the sentence */
    mere_point_t jump;               /* a wrong solution: added to each position, mm */
} sim_receiver_t;

/* record and replay: files of semihost.h, or below 0. */
void sim_receiver_start(sim_receiver_t *receiver, const mere_mission_t *mission, int32_t record, int32_t replay);

/* At every millisecond: measures, when an interval is over. */
void sim_receiver_run(sim_receiver_t *receiver, uint32_t time_ms, const sim_rover_t *rover);

/* Throws away what has arrived: nobody listens while the board is off. */
void sim_receiver_flush(sim_receiver_t *receiver, uint32_t time_ms);

/* The next byte of the line, false when nothing has arrived. */
bool sim_receiver_byte(sim_receiver_t *receiver, uint32_t time_ms, char *byte);

#endif /* SIM_RECEIVER_H */
