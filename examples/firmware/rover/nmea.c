/*
 * nmea.c: see nmea.h.
 *
 * A text is walked through once with a cursor that never passes its end: every
 * step asks for the length first. Nothing that arrives on a serial line can make
 * this file read or write elsewhere.
 */
#include "nmea.h"

#include <stddef.h>

/* What is left of a sentence to read. */
typedef struct {
    const char *text;
    size_t left;
} cursor_t;

static bool is_digit(char c)
{
    return (c >= '0') && (c <= '9');
}

/* The next field, without its comma; empty when there is none. */
static cursor_t next_field(cursor_t *rest)
{
    cursor_t field = { rest->text, 0u };

    while ((field.left < rest->left) && (rest->text[field.left] != ',')) {
        field.left++;
    }
    rest->text += field.left;
    rest->left -= field.left;
    if (rest->left > 0u) {
        rest->text++; /* the comma */
        rest->left--;
    }
    return field;
}

/* Exactly count digits (at most 9) as a number. */
static bool take_digits(cursor_t *field, size_t count, uint32_t *value)
{
    uint32_t number = 0u;
    size_t i;

    if (field->left < count) {
        return false;
    }
    for (i = 0u; i < count; i++) {
        if (!is_digit(field->text[i])) {
            return false;
        }
        number = (number * 10u) + (uint32_t)(field->text[i] - '0');
    }
    field->text += count;
    field->left -= count;
    *value = number;
    return true;
}

/* What follows the units: nothing, or "." and digits to the field's end. The
 * first nine decimals become a number of 1e-9; of later ones *more says whether
 * one is not zero, see angle_ndeg. */
static bool take_decimals(cursor_t *field, uint32_t *billionths, bool *more)
{
    uint32_t number = 0u;
    bool later = false;
    size_t i;

    if (field->left > 0u) {
        if (field->text[0] != '.') {
            return false;
        }
        field->text++;
        field->left--;
    }
    for (i = 0u; i < field->left; i++) {
        if (!is_digit(field->text[i])) {
            return false;
        }
        if (i < 9u) {
            number = (number * 10u) + (uint32_t)(field->text[i] - '0');
        } else if (field->text[i] != '0') {
            later = true;
        } else {
            /* a zero that says nothing */
        }
    }
    for (; i < 9u; i++) {
        number *= 10u;
    }
    field->left = 0u;
    *billionths = number;
    *more = later;
    return true;
}

/* An angle written as degrees (so many digits) and minutes (two digits, then
 * decimals) with a letter for its sign, in nanodegrees to the nearest, a tie going
 * to the even one: as the compiler reads a mission's angles.
 *
 * A minute is 1/60 degree, so that m nanominutes are m/60 nanodegrees. Decimals
 * beyond the ninth are less than one nanominute: of them it matters only whether one
 * is not zero, since then m/60 is no tie, nor the limit met. Whole degrees are even
 * numbers of nanodegrees. Overflow: 999 degrees * 1e9 and 60e9 in 64 bits. */
static bool angle_ndeg(cursor_t field, cursor_t letter, size_t degree_digits, uint32_t greatest_degrees, char positive,
                       char negative, int64_t *ndeg)
{
    uint32_t degrees;
    uint32_t minutes;
    uint32_t billionths;
    bool more;
    int64_t nanominutes;
    int64_t size;
    int64_t rest;

    if (!take_digits(&field, degree_digits, &degrees) || !take_digits(&field, 2u, &minutes)
        || !take_decimals(&field, &billionths, &more)) {
        return false;
    }
    if ((minutes >= 60u) || (letter.left != 1u) || ((letter.text[0] != positive) && (letter.text[0] != negative))) {
        return false;
    }
    nanominutes = ((int64_t)minutes * 1000000000) + (int64_t)billionths;
    if ((degrees > greatest_degrees) || ((degrees == greatest_degrees) && ((nanominutes > 0) || more))) {
        return false;
    }
    size = ((int64_t)degrees * 1000000000) + (nanominutes / 60);
    rest = nanominutes % 60;
    if ((rest > 30) || ((rest == 30) && (more || ((size % 2) != 0)))) {
        size++;
    }
    *ndeg = (letter.text[0] == negative) ? -size : size;
    return true;
}

/* UTC as hhmmss and decimals, in milliseconds, rounded down. A leap second counts
 * into the day. */
static bool time_ms(cursor_t field, uint32_t *ms)
{
    uint32_t hours;
    uint32_t minutes;
    uint32_t seconds;
    uint32_t billionths;
    bool more;

    if (!take_digits(&field, 2u, &hours) || !take_digits(&field, 2u, &minutes) || !take_digits(&field, 2u, &seconds)
        || !take_decimals(&field, &billionths, &more) || (hours > 23u) || (minutes > 59u) || (seconds > 60u)) {
        return false;
    }
    *ms = (((((hours * 60u) + minutes) * 60u) + seconds) * 1000u) + (billionths / 1000000u);
    return true;
}

/* The fields of GGA: time, latitude, N or S, longitude, E or W, quality, and
 * more that guidance does not need. */
static bool read_gga(cursor_t rest, nmea_fix_t *fix)
{
    const cursor_t time = next_field(&rest);
    const cursor_t latitude = next_field(&rest);
    const cursor_t north_south = next_field(&rest);
    const cursor_t longitude = next_field(&rest);
    const cursor_t east_west = next_field(&rest);
    const cursor_t quality = next_field(&rest);
    nmea_fix_t read = { 0, 0, 0u, 0u, false };

    if ((quality.left != 1u) || !is_digit(quality.text[0])) {
        return false;
    }
    read.quality = (uint8_t)(quality.text[0] - '0');
    read.time_known = time.left > 0u;
    if (read.time_known && !time_ms(time, &read.time_of_day_ms)) {
        return false;
    }
    if (read.quality != 0u) {
        if (!angle_ndeg(latitude, north_south, 2u, 90u, 'N', 'S', &read.latitude_ndeg)
            || !angle_ndeg(longitude, east_west, 3u, 180u, 'E', 'W', &read.longitude_ndeg)) {
            return false;
        }
    }
    *fix = read;
    return true;
}

/* The fields of ZDA: time, day, month, year, and more. Empty ones are those of a
 * receiver that does not know yet. */
static nmea_event_t read_zda(cursor_t rest, uint32_t *date)
{
    cursor_t time = next_field(&rest);
    cursor_t day = next_field(&rest);
    cursor_t month = next_field(&rest);
    cursor_t year = next_field(&rest);
    uint32_t ms;
    uint32_t days;
    uint32_t months;
    uint32_t years;

    if ((time.left == 0u) || ((day.left == 0u) && (month.left == 0u) && (year.left == 0u))) {
        return NMEA_OTHER;
    }
    if (!time_ms(time, &ms) || !take_digits(&day, 2u, &days) || !take_digits(&month, 2u, &months)
        || !take_digits(&year, 4u, &years) || (day.left != 0u) || (month.left != 0u) || (year.left != 0u)
        || (days < 1u) || (days > 31u) || (months < 1u) || (months > 12u)) {
        return NMEA_REFUSED;
    }
    if (years < (uint32_t)NMEA_EARLIEST_YEAR) {
        return NMEA_OTHER;
    }
    *date = (((years * 100u) + months) * 100u) + days;
    return NMEA_DAY;
}

/* Whether an address is of any talker, and of this kind. */
static bool is_kind(cursor_t address, const char *kind)
{
    return (address.left == 5u) && (address.text[2] == kind[0]) && (address.text[3] == kind[1]) && (address.text[4] == kind[2]);
}

/* Value of a hexadecimal digit, 16 for any other character. */
static uint32_t hexadecimal(char c)
{
    uint32_t value = 16u;

    if (is_digit(c)) {
        value = (uint32_t)(c - '0');
    } else if ((c >= 'A') && (c <= 'F')) {
        value = (uint32_t)(c - 'A') + 10u;
    } else if ((c >= 'a') && (c <= 'f')) {
        value = (uint32_t)(c - 'a') + 10u;
    } else {
        /* no digit */
    }
    return value;
}

/* A complete line: checksum first, then what it says. */
static nmea_event_t read_sentence(const char *text, size_t length, nmea_fix_t *fix, uint32_t *day)
{
    cursor_t rest = { text, 0u };
    cursor_t address;
    nmea_event_t event = NMEA_OTHER;
    uint8_t sum = 0u;
    size_t body = 0u;

    while ((body < length) && (text[body] != '*')) {
        sum ^= (uint8_t)text[body];
        body++;
    }
    if ((length != (body + 3u)) || (hexadecimal(text[body + 1u]) > 15u) || (hexadecimal(text[body + 2u]) > 15u)
        || (((hexadecimal(text[body + 1u]) << 4) | hexadecimal(text[body + 2u])) != sum)) {
        return NMEA_REFUSED;
    }
    rest.left = body;
    address = next_field(&rest);
    if (is_kind(address, "GGA")) {
        event = read_gga(rest, fix) ? NMEA_FIX : NMEA_REFUSED;
    } else if (is_kind(address, "ZDA")) {
        event = read_zda(rest, day);
    } else {
        /* not needed here */
    }
    return event;
}

nmea_event_t nmea_byte(nmea_reader_t *reader, char byte, nmea_fix_t *fix)
{
    nmea_event_t event = NMEA_MORE;

    if (byte == '$') {
        if (reader->begun) {
            event = NMEA_REFUSED; /* the one before was cut short */
        }
        reader->begun = true;
        reader->length = 0u;
    } else if (!reader->begun) {
        /* between sentences, or the rest of one that was refused */
    } else if ((byte == '\r') || (byte == '\n')) {
        event = read_sentence(reader->text, reader->length, fix, &reader->day);
        reader->begun = false;
    } else if ((reader->length >= (uint8_t)NMEA_LONGEST) || (byte < ' ') || (byte > '~')) {
        event = NMEA_REFUSED;
        reader->begun = false;
    } else {
        reader->text[reader->length] = byte;
        reader->length++;
    }
    return event;
}
