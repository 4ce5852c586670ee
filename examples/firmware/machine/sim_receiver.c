/* sim_receiver.c: see sim_receiver.h. */
#include "sim_receiver.h"

#include "nmea.h"
#include "semihost.h"

enum receiver_figure {
    NOON_MS = 43200000,
    SECOND_MS = 1000,
    SLOWING_MS = 50,                 /* a sentence comes so much later than the one before, while it falls behind */
    FAST_RANGE_UM = 7000,            /* standard deviation 2 mm, see sim_noise */
    WANDER_RANGE_UM = 9200,          /* each step 2.6 mm, which adds up to 15 mm ... */
    WANDER_BACK = 64                 /* ... when 1/64 of it is taken back each time */
};

/* A position of the frame as latitude and longitude: from a first guess, what is
 * missing is divided by the slopes of the conversion until nothing is missing.
 * Each turn leaves about 1e-4 of what was missing; four leave nothing of 20 km. */
static void geographic(const mere_conversion_t *conversion, mere_point_t at, int64_t *latitude_ndeg, int64_t *longitude_ndeg)
{
    uint32_t i;

    *latitude_ndeg = conversion->origin_latitude_ndeg;
    *longitude_ndeg = conversion->origin_longitude_ndeg;
    for (i = 0u; i < 5u; i++) {
        mere_point_t guess = { 0, 0 };

        if (!mere_local_from_fix(conversion, *latitude_ndeg, *longitude_ndeg, &guess)) {
            return;
        }
        *latitude_ndeg += ((int64_t)(at.north_mm - guess.north_mm) * ((int64_t)1 << (32u + conversion->north_shift)))
                          / conversion->north[0];
        *longitude_ndeg += ((int64_t)(at.east_mm - guess.east_mm) * ((int64_t)1 << (32u + conversion->east_shift)))
                           / conversion->east[0];
    }
}

/* Degrees and minutes with seven decimals, then the letter. A nanodegree is 60
 * nanominutes, so that 5/3 ndeg are one unit of the seventh decimal. */
static void add_angle(text_t *line, int64_t ndeg, uint32_t degree_digits, const char *positive, const char *negative)
{
    const int64_t size = (ndeg < 0) ? -ndeg : ndeg;
    const int64_t units = ((size * 60) + 50) / 100; /* of 1e-7 minutes */

    text_number(line, units / 600000000, degree_digits, '0');
    text_number(line, (units % 600000000) / 10000000, 2u, '0');
    text_add(line, ".");
    text_number(line, units % 10000000, 7u, '0');
    text_add(line, (ndeg < 0) ? negative : positive);
}

static void add_checksum(text_t *line)
{
    static const char digits[] = "0123456789ABCDEF";
    char sum[3] = { '0', '0', '\0' };
    uint8_t all = 0u;
    uint32_t i;

    for (i = 1u; i < line->length; i++) {
        all ^= (uint8_t)line->text[i];
    }
    sum[0] = digits[all >> 4];
    sum[1] = digits[all & 15u];
    text_add(line, "*");
    text_add(line, sum);
    text_add(line, "\r\n");
}

/* From the instant of a position to its sentence on the line, receiver.latency of the
 * mission file. The tables have it with the time until mere_step sees it: a turn of the
 * loop, and a millisecond of the clock. */
static uint32_t way_ms(const mere_mission_t *mission)
{
    const uint32_t reading_ms = (uint32_t)mission->rover.loop_ms + 1u;

    return (mission->rover.latency_ms > reading_ms) ? (mission->rover.latency_ms - reading_ms) : 0u;
}

/* Sends a line whose position holds for an instant, after the latency and what the
 * receiver is behind by then. */
static void put(sim_receiver_t *receiver, const text_t *line, uint32_t time_ms, uint32_t held_ms)
{
    sim_sentence_t *sentence = &receiver->queue[receiver->in];

    if (receiver->record >= 0) {
        (void)semihost_write(receiver->record, line->text, line->length);
    }
    sentence->text = *line;
    sentence->held_ms = held_ms;
    sentence->due_ms = time_ms + way_ms(receiver->mission) + receiver->behind_ms;
    sentence->used = true;
    receiver->in = (receiver->in + 1u) % (uint32_t)SIM_QUEUE;
}

/* Hours, minutes and seconds of the day, with milliseconds. The drive begins at noon. */
static void add_time(text_t *line, uint32_t time_ms)
{
    const uint32_t day_ms = ((uint32_t)NOON_MS + time_ms) % 86400000u;

    text_number(line, day_ms / 3600000u, 2u, '0');
    text_number(line, (day_ms / 60000u) % 60u, 2u, '0');
    text_number(line, (day_ms / 1000u) % 60u, 2u, '0');
    text_add(line, ".");
    text_number(line, (day_ms % 1000u), 3u, '0');
}

/* The day is that of the occupations in examples/shifts/simulated.csv, as the Makefile
 * has it. */
static void say_day(sim_receiver_t *receiver, uint32_t time_ms)
{
    text_t line = { "", 0u };

    text_add(&line, "$GNZDA,");
    add_time(&line, time_ms);
    text_add(&line, ",10,05,2026,00,00");
    add_checksum(&line);
    put(receiver, &line, time_ms, time_ms);
}

static void measure(sim_receiver_t *receiver, uint32_t time_ms, const sim_rover_t *rover)
{
    mere_point_t at = sim_rover_antenna(rover);
    int64_t latitude_ndeg;
    int64_t longitude_ndeg;
    char quality[4] = { ',', '0', ',', '\0' };
    text_t line = { "", 0u };

    if (receiver->standing) {
        at = receiver->stood_at;
    }
    receiver->stood_at = at;
    if (!receiver->noiseless) {
        receiver->wander_um.east_mm += sim_noise(&receiver->noise, WANDER_RANGE_UM) - (receiver->wander_um.east_mm / WANDER_BACK);
        receiver->wander_um.north_mm += sim_noise(&receiver->noise, WANDER_RANGE_UM) - (receiver->wander_um.north_mm / WANDER_BACK);
        at.east_mm += (receiver->wander_um.east_mm + sim_noise(&receiver->noise, FAST_RANGE_UM)) / 1000;
        at.north_mm += (receiver->wander_um.north_mm + sim_noise(&receiver->noise, FAST_RANGE_UM)) / 1000;
    }
    at.east_mm += receiver->jump.east_mm;
    at.north_mm += receiver->jump.north_mm;
    geographic(&receiver->mission->conversion, at, &latitude_ndeg, &longitude_ndeg);

    text_add(&line, "$GNGGA,");
    add_time(&line, time_ms);
    text_add(&line, ",");
    if (receiver->quality == '0') {
        text_add(&line, ",,,");
    } else {
        add_angle(&line, latitude_ndeg, 2u, ",N,", ",S,");
        add_angle(&line, longitude_ndeg, 3u, ",E", ",W");
    }
    quality[1] = receiver->quality;
    text_add(&line, quality);
    text_add(&line, "18,0.60,0.0,M,0.0,M,0.6,0001");
    add_checksum(&line);
    if (receiver->garbled) {
        line.text[20] ^= 1; /* after the checksum was made */
    }
    receiver->last = receiver->in;
    put(receiver, &line, time_ms, time_ms);
}

/* Reads the next line of the recording and the time of day in it. */
static void read_line(sim_receiver_t *receiver)
{
    const text_t empty = { "", 0u };
    nmea_reader_t reader = { "", 0u, 0u, false };
    nmea_fix_t fix = { 0, 0, 0u, 0u, false };
    char byte[2] = { '\0', '\0' };
    bool timed = false;

    receiver->line = empty;
    while ((byte[0] != '\n') && (semihost_read(receiver->replay, byte, 1u) == 1u)) {
        text_add(&receiver->line, byte);
        if ((nmea_byte(&reader, byte[0], &fix) == NMEA_FIX) && fix.time_known) {
            timed = true;
        }
    }
    receiver->line_ready = receiver->line.length > 0u;
    if (timed) {
        receiver->line_ms = fix.time_of_day_ms;
        if (!receiver->first_known) {
            receiver->first_ms = fix.time_of_day_ms;
            receiver->first_known = true;
        }
    }
}

static void replay(sim_receiver_t *receiver, uint32_t time_ms)
{
    bool due = true;

    while (due) {
        if (!receiver->line_ready) {
            read_line(receiver);
        }
        due = receiver->line_ready && (((receiver->line_ms + 86400000u) - receiver->first_ms) % 86400000u <= time_ms);
        if (due) {
            put(receiver, &receiver->line, time_ms, time_ms);
            receiver->line_ready = false;
        }
    }
}

void sim_receiver_start(sim_receiver_t *receiver, const mere_mission_t *mission, int32_t record, int32_t replay_file)
{
    receiver->mission = mission;
    receiver->record = record;
    receiver->replay = replay_file;
    receiver->noise = 362436069u;
    receiver->quality = '4';
}

void sim_receiver_run(sim_receiver_t *receiver, uint32_t time_ms, const sim_rover_t *rover)
{
    const uint32_t interval_ms = (receiver->mission->rover.fix_interval_ms > 0u) ? receiver->mission->rover.fix_interval_ms : 200u;

    if ((time_ms % interval_ms) == 0u) {
        if (receiver->behind_ms < receiver->behind_at_last_ms) {
            receiver->behind_ms += (uint32_t)SLOWING_MS;
        } else {
            receiver->behind_ms = receiver->behind_at_last_ms; /* it catches up at once */
        }
        if (receiver->replay >= 0) {
            replay(receiver, time_ms);
        } else if (receiver->silent) {
            /* nothing */
        } else if (receiver->frozen) {
            const sim_sentence_t last = receiver->queue[receiver->last];

            receiver->last = receiver->in;
            put(receiver, &last.text, time_ms, last.held_ms);
        } else {
            measure(receiver, time_ms, rover);
            if ((time_ms % (uint32_t)SECOND_MS) == 0u) {
                say_day(receiver, time_ms);
            }
        }
    }
}

/* Whether the next sentence is on the line. */
static bool has_arrived(const sim_receiver_t *receiver, uint32_t time_ms)
{
    const sim_sentence_t *sentence = &receiver->queue[receiver->out];

    return sentence->used && ((int32_t)(time_ms - sentence->due_ms) >= 0);
}

void sim_receiver_flush(sim_receiver_t *receiver, uint32_t time_ms)
{
    while (has_arrived(receiver, time_ms)) {
        receiver->queue[receiver->out].used = false;
        receiver->out = (receiver->out + 1u) % (uint32_t)SIM_QUEUE;
    }
    receiver->read = 0u;
}

bool sim_receiver_byte(sim_receiver_t *receiver, uint32_t time_ms, char *byte)
{
    sim_sentence_t *sentence = &receiver->queue[receiver->out];

    if (!has_arrived(receiver, time_ms)) {
        return false;
    }
    *byte = sentence->text.text[receiver->read];
    receiver->read++;
    if (receiver->read >= sentence->text.length) {
        sentence->used = false;
        receiver->held_ms = sentence->held_ms;
        receiver->read = 0u;
        receiver->out = (receiver->out + 1u) % (uint32_t)SIM_QUEUE;
    }
    return true;
}
