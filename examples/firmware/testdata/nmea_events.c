/*
 * nmea_events.c: the sentence reader of the firmware example on the host. Reads
 * bytes from standard input and writes a line for each event, so that a test can
 * compare them with what is to be expected.
 */
#include <inttypes.h>
#include <stdio.h>

#include "nmea.h"

int main(void)
{
    static nmea_reader_t reader;
    nmea_fix_t fix = { 0, 0, 0u, 0u, false };
    int byte;

    while ((byte = getchar()) != EOF) {
        switch (nmea_byte(&reader, (char)byte, &fix)) {
        case NMEA_FIX:
            printf("fix %" PRId64 " %" PRId64 " quality %u ", fix.latitude_ndeg, fix.longitude_ndeg, (unsigned)fix.quality);
            if (fix.time_known) {
                printf("at %" PRIu32 "\n", fix.time_of_day_ms);
            } else {
                printf("without time\n");
            }
            break;
        case NMEA_DAY:
            printf("day %" PRIu32 "\n", reader.day);
            break;
        case NMEA_OTHER:
            puts("other");
            break;
        case NMEA_REFUSED:
            puts("refused");
            break;
        case NMEA_MORE:
        default:
            break;
        }
    }
    return 0;
}
