/*
 * lateness_of.c: the lateness of the firmware example on the host. Reads lines of a
 * clock and a time of day (ms) from standard input and writes the lateness of each,
 * so that a test can compare them with what is to be expected.
 */
#include <inttypes.h>
#include <stdio.h>

#include "lateness.h"

int main(void)
{
    static lateness_t lateness;
    uint32_t clock_ms;
    uint32_t time_of_day_ms;

    while (scanf("%" SCNu32 " %" SCNu32, &clock_ms, &time_of_day_ms) == 2) {
        printf("%" PRIu32 "\n", lateness_ms(&lateness, clock_ms, time_of_day_ms));
    }
    return 0;
}
