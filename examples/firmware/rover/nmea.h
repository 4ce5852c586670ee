/*
 * nmea.h: reads positions from the sentences of a satellite receiver.
 *
 * The sentences are those of NMEA 0183 (IEC 61162-1): "$", an address such as
 * GNGGA, fields between commas, "*" and a checksum in two hexadecimal digits,
 * which is the exclusive or of all bytes between "$" and "*". Two kinds are taken,
 * from any talker: GGA, which alone carries position and quality together, and ZDA
 * for the day. The forms of both are from memory.
 *
 * Numbers are read in integers only: a latitude of 4518.0743200 (degrees and
 * minutes) becomes 45301238667 nanodegrees, correct to the last digit.
 *
 * Keep this file. Nothing in it depends on the board.
 */
#ifndef NMEA_H
#define NMEA_H

#include <stdbool.h>
#include <stdint.h>

enum nmea_limit {
    /* Longest sentence taken, from "$" to the checksum. The standard has 82
     * characters with the line's end; receivers with more decimals go beyond. */
    NMEA_LONGEST = 120,
    /* A receiver that does not know the date yet says one that is long past: such a
     * day is none. */
    NMEA_EARLIEST_YEAR = 2025
};

/* What became of a byte. */
typedef enum {
    NMEA_MORE = 0,     /* the sentence is not complete, or there is none */
    NMEA_FIX = 1,      /* a GGA sentence is complete, the fix is filled in */
    NMEA_OTHER = 2,    /* a sound sentence of another kind, or a ZDA that does not know the day */
    NMEA_REFUSED = 3,  /* wrong checksum, too long, or a GGA or ZDA that makes no sense */
    NMEA_DAY = 4       /* a ZDA sentence is complete, the reader's day is filled in */
} nmea_event_t;

/* One fix. Without a position (quality 0) latitude and longitude are 0. */
typedef struct {
    int64_t latitude_ndeg;     /* nanodegrees, north positive */
    int64_t longitude_ndeg;    /* nanodegrees, east positive */
    uint32_t time_of_day_ms;   /* UTC of the position; with time_known */
    uint8_t quality;           /* the sentence's digit, see mere_quality_from_gga */
    bool time_known;
} nmea_fix_t;

/* A sentence that is being received. Zeros to begin with. */
typedef struct {
    char text[NMEA_LONGEST];   /* what followed "$" */
    uint32_t day;              /* UTC, of the last ZDA: 20260510 for the 10th of May 2026; 0 before the first */
    uint8_t length;
    bool begun;
} nmea_reader_t;

/* Takes the next byte of the receiver. *fix is changed on NMEA_FIX alone, the reader's
 * day on NMEA_DAY alone. */
nmea_event_t nmea_byte(nmea_reader_t *reader, char byte, nmea_fix_t *fix);

#endif /* NMEA_H */
