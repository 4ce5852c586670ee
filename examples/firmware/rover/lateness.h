/*
 * lateness.h: by how much a sentence of the receiver came later than others did,
 * from the time of day in it and the board's clock.
 *
 * A receiver that falls behind, or a buffer that fills up, still gives a sentence
 * each fifth of a second: every one looks fresh, and says where the rover was a
 * while ago. Their times tell. The clock and the time of day have nothing in
 * common but that both run on, so that what counts is their difference:
 *
 *     clock - time of day = something that is the same for all + way of the sentence
 *
 * The least difference so far belongs to a sentence that was on its way as short
 * as any. What a sentence comes later than that is its lateness.
 *
 * The board's clock does not run as the satellites' does. Where it is slow the
 * least becomes less by itself; where it is fast every sentence would come later
 * and later, so that the least is let rise by 1 ms in each LATENESS_FORGIVEN_MS.
 *
 * What this cannot know:
 *
 * - How long the earliest sentence was on its way: that is the receiver's own
 *   latency, of the mission file. A backlog that is there from the first sentence
 *   on, and never goes, is taken for latency: empty the buffer in board_start.
 * - A backlog that grows slower than the least is let rise. One that came at once
 *   and stays is forgiven too: a second in three hours.
 * - That the receiver changed its mind about the time: a leap second, or the count
 *   of them that it learns after power-up, set back by a second, make every later
 *   sentence a second late; so does one sentence with a time that is ahead. The
 *   rover then stops for old fixes. Switching the board off and on begins anew.
 * - Anything across a silence of half a day: that begins anew too.
 *
 * Keep this file. Nothing in it depends on the board.
 */
#ifndef LATENESS_H
#define LATENESS_H

#include <stdbool.h>
#include <stdint.h>

enum lateness_figure {
    /* 1 ms in 10 s is 100 ppm: twice what quartz crystals of boards are sold for, their
     * temperature included. Common practice, no source. */
    LATENESS_FORGIVEN_MS = 10000
};

/* Zeros to begin with. */
typedef struct {
    uint32_t clock_ms;         /* of the last sentence; with known */
    uint32_t time_of_day_ms;   /* the same */
    uint32_t late_ms;          /* of it, against the earliest */
    uint32_t drifting_ms;      /* time since the last millisecond was forgiven */
    bool known;
} lateness_t;

/* Takes a sentence: the clock (ms, wraps at 2^32) when it came, the time of day in
 * it (ms, below 86 401 000: a leap second counts into the day). Gives by how much
 * it is later than the earliest. Not for a sentence that is repeated. */
uint32_t lateness_ms(lateness_t *lateness, uint32_t clock_ms, uint32_t time_of_day_ms);

#endif /* LATENESS_H */
