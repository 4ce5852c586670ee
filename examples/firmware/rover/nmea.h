/*
 * nmea.h: reads positions from the sentences of a satellite receiver.
 *
 * The sentences are those of NMEA 0183 (IEC 61162-1): "$", an address such as
 * GNGGA, fields between commas, "*" and a checksum in two hexadecimal digits,
 * which is the exclusive or of all bytes between "$" and "*". Only GGA is taken,
 * from any talker; it alone carries position and quality together.
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
    NMEA_LONGEST = 120
};

/* What became of a byte. */
typedef enum {
    NMEA_MORE = 0,     /* the sentence is not complete, or there is none */
    NMEA_FIX = 1,      /* a GGA sentence is complete, the fix is filled in */
    NMEA_OTHER = 2,    /* a sound sentence of another kind */
    NMEA_REFUSED = 3   /* wrong checksum, too long, or a GGA that makes no sense */
} nmea_event_t;

/* One fix. Without a position (quality 0) latitude and longitude are 0. */
typedef struct {
    int64_t latitude_ndeg;     /* nanodegrees, north positive */
    int64_t longitude_ndeg;    /* nanodegrees, east positive */
    uint32_t time_of_day_ms;   /* UTC of the position; with time_known */
    uint8_t quality;           /* the sentence's digit: 0 none, 1 standalone, 2 differential,
                                  4 fixed, 5 float, the rest in main.c */
    bool time_known;
} nmea_fix_t;

/* A sentence that is being received. Zeros to begin with. */
typedef struct {
    char text[NMEA_LONGEST];   /* what followed "$" */
    uint8_t length;
    bool begun;
} nmea_reader_t;

/* Takes the next byte of the receiver. *fix is changed on NMEA_FIX alone. */
nmea_event_t nmea_byte(nmea_reader_t *reader, char byte, nmea_fix_t *fix);

#endif /* NMEA_H */
