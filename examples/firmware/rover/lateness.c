/*
 * lateness.c: see lateness.h. What is kept is the lateness of the last sentence;
 * that of the next is it, more by how much the clock ran further than the time of
 * day. So only differences of either count, which midnight and the wrap of the
 * clock leave alone.
 */
#include "lateness.h"

enum day { DAY_MS = 86400000, HALF_A_DAY_MS = 43200000 };

/* From one time of day to another, the short way round: midnight may lie between.
 * -HALF_A_DAY_MS to HALF_A_DAY_MS - 1. */
static int32_t between_ms(uint32_t from_ms, uint32_t to_ms)
{
    const uint32_t ahead_ms = ((to_ms % (uint32_t)DAY_MS) + (uint32_t)DAY_MS - (from_ms % (uint32_t)DAY_MS)) % (uint32_t)DAY_MS;
    int32_t between = (int32_t)ahead_ms;

    if (between >= (int32_t)HALF_A_DAY_MS) {
        between -= (int32_t)DAY_MS;
    }
    return between;
}

/* Overflow: each term is up to half a day, and so is late_ms where it is kept: three
 * half days are below 2^31. */
uint32_t lateness_ms(lateness_t *lateness, uint32_t clock_ms, uint32_t time_of_day_ms)
{
    const uint32_t elapsed_ms = clock_ms - lateness->clock_ms;
    int32_t late_ms = 0;

    if (lateness->known && (elapsed_ms < (uint32_t)HALF_A_DAY_MS)) {
        late_ms = (int32_t)lateness->late_ms + (int32_t)elapsed_ms - between_ms(lateness->time_of_day_ms, time_of_day_ms);
        lateness->drifting_ms += elapsed_ms;
        late_ms -= (int32_t)(lateness->drifting_ms / (uint32_t)LATENESS_FORGIVEN_MS);
        lateness->drifting_ms %= (uint32_t)LATENESS_FORGIVEN_MS;
        if (late_ms < 0) {
            late_ms = 0; /* the earliest so far */
        } else if (late_ms > (int32_t)HALF_A_DAY_MS) {
            late_ms = (int32_t)HALF_A_DAY_MS;
        } else {
            /* as it is */
        }
    } else {
        lateness->drifting_ms = 0u;
    }
    lateness->clock_ms = clock_ms;
    lateness->time_of_day_ms = time_of_day_ms;
    lateness->late_ms = (uint32_t)late_ms;
    lateness->known = true;
    return lateness->late_ms;
}
