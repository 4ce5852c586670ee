/*
 * main.c: the loop of a rover that drives a mission.
 *
 * Copy this file, nmea, lateness, report, text and board.h; write a board.c for your
 * board, and a mission.h of two lines (the Makefile writes one):
 *
 *     #include "NAME_mission.h"
 *     #define MISSION NAME_mission
 *
 * The order of the loop matters:
 *
 *     wait for the turn; read everything; mere_step; drive; feed the watchdog;
 *     then what has time: memory, report
 *
 * so that the watchdog is fed only when the drive was set from fresh input, and the
 * drive waits for nothing else. Do not feed it from an interrupt, which goes on when
 * this loop hangs.
 *
 * What this program cannot do. It is one processor running one program, and no
 * safety function. Wire the emergency stop so that it breaks the drive's supply
 * by itself; the hold pins read here tell the program that it happened, so that
 * nothing starts again by itself. The same goes for the hold-to-run switch. Have
 * a risk assessment made of the whole machine, and keep to local codes.
 */
#include "board.h"
#include "lateness.h"
#include "mission.h"
#include "nmea.h"
#include "report.h"

enum steering {
    TURN_GAIN = 3,                /* rate of turn for a turn to make, per second */
    TURN_GREATEST_CDEG_S = 6000,  /* 60 degrees a second */
    PIVOT_CDEG = 3000,            /* from this turn on: turn on the spot first */
    SLOW_CDEG = 1000              /* from this turn on: half speed */
};

enum receiving {
    /* Bytes of the receiver taken in one turn of the loop, at most: 4 times what
     * 115200 baud bring in 20 ms. A line that babbles must not hold the loop up. */
    MOST_BYTES = 1024,
    /* After power-up the receiver is given so long to say what day it is. */
    AWAIT_DAY_MS = 3000
};

/* What the receiver said last. */
typedef struct {
    nmea_reader_t reader;
    lateness_t lateness;
    uint32_t time_of_day_ms;
    bool time_known;
} receiver_t;

/* All that the loop keeps. */
typedef struct {
    mere_state_t state;           /* zeros: never drives before mere_start */
    mere_input_t input;
    mere_output_t output;
    receiver_t receiver;
    uint32_t day;                 /* of the start-up test; 0: not known */
    bool memory_due;              /* the memory is yet to be written */
    bool again_was;               /* the button was pressed in the last turn */
} rover_t;

/* Reads what came from the receiver. If several fixes waited, the last counts. A
 * sentence without a time, or with that of the one before, is not new: a receiver
 * that repeats itself must not look like one that works. How old a fix is: as old
 * as the mission reckons with, and older by as much as its sentence is late. */
static void read_receiver(const mere_mission_t *mission, receiver_t *receiver, mere_input_t *input)
{
    nmea_fix_t fix = { 0, 0, 0u, 0u, false };
    char byte = '\0';
    uint32_t taken;

    input->fix_new = false;
    for (taken = 0u; (taken < (uint32_t)MOST_BYTES) && board_receive(&byte); taken++) {
        if (nmea_byte(&receiver->reader, byte, &fix) == NMEA_FIX) {
            const bool repeated = receiver->time_known && (fix.time_of_day_ms == receiver->time_of_day_ms);

            if (fix.time_known && !repeated) {
                receiver->time_of_day_ms = fix.time_of_day_ms;
                receiver->time_known = true;
                input->fix_new = true;
                input->latitude_ndeg = fix.latitude_ndeg;
                input->longitude_ndeg = fix.longitude_ndeg;
                input->quality = mere_quality_from_gga(fix.quality);
                input->fix_age_ms = mission->rover.latency_ms
                                    + lateness_ms(&receiver->lateness, input->time_ms, fix.time_of_day_ms);
            }
        }
    }
}

static void read_board(const mere_mission_t *mission, mere_input_t *input)
{
    uint32_t levels = 0u;
    uint32_t i;

    for (i = 0u; i < mission->hold_count; i++) {
        levels |= ((uint32_t)board_level(mission->holds[i].pin) & 1u) << i;
    }
    input->hold_levels = (uint16_t)levels;
    input->reset_request = board_reset_pressed();
    input->start_request = board_start_pressed();
    input->speed_known = board_speed(&input->speed_mm_s);
    input->heading_known = board_heading(&input->heading_cdeg);
}

/* Follows the bearing. This is for two driven wheels, which can turn on the spot;
 * a rover that steers its front wheels cannot, and needs a route of legs that it
 * can follow. Without a heading there is no telling where to turn: the drive then
 * stays off. */
static void drive(const mere_output_t *output)
{
    uint32_t speed_mm_s = output->speed_limit_mm_s;
    int32_t rate_cdeg_s = output->turn_cdeg * (int32_t)TURN_GAIN;
    const uint32_t turn_cdeg = (uint32_t)((output->turn_cdeg < 0) ? -output->turn_cdeg : output->turn_cdeg);

    if (turn_cdeg >= (uint32_t)PIVOT_CDEG) {
        speed_mm_s = 0u;
    } else if (turn_cdeg >= (uint32_t)SLOW_CDEG) {
        speed_mm_s /= 2u;
    } else {
        /* straight enough for full speed */
    }
    if (rate_cdeg_s > (int32_t)TURN_GREATEST_CDEG_S) {
        rate_cdeg_s = (int32_t)TURN_GREATEST_CDEG_S;
    } else if (rate_cdeg_s < -(int32_t)TURN_GREATEST_CDEG_S) {
        rate_cdeg_s = -(int32_t)TURN_GREATEST_CDEG_S;
    } else {
        /* as wanted */
    }
    board_drive(output->drive_enable && output->turn_known, speed_mm_s, rate_cdeg_s);
}

/* Waits until the receiver has said what day it is, but no longer than AWAIT_DAY_MS.
 * The drive is off: it was never powered. */
static void await_day(const mere_mission_t *mission, rover_t *rover, uint32_t period_ms)
{
    uint32_t waited_ms = 0u;

    while ((rover->receiver.reader.day == 0u) && (waited_ms < (uint32_t)AWAIT_DAY_MS)) {
        rover->input.time_ms = board_wait(period_ms);
        read_receiver(mission, &rover->receiver, &rover->input);
        board_feed_watchdog();
        waited_ms += period_ms;
    }
    rover->day = rover->receiver.reader.day;
}

/* Goes on where the power was switched off, with the stops that were latched then;
 * on the same day without another start-up test. Where there is no memory of this
 * plan it begins at leg 0, and the start-up test has to find what the memory would
 * have told. */
static void take_up(const mere_mission_t *mission, rover_t *rover)
{
    mere_memory_t memory;
    bool kept = false;

    /* If this fails, mere_step never enables the drive and says why. */
    (void)mere_start(mission, &rover->state, 0u);
    if (board_memory_read(&memory)) {
        kept = mere_recall(mission, &rover->state, &memory, rover->day);
    }
    rover->memory_due = true;
    rover->again_was = true; /* a button that is jammed begins nothing */
    report_note(rover->input.time_ms, kept ? "power-up       memory of this plan" : "power-up       no memory of this plan");
}

/* Where the mission was checked with a site shift of the day (rover.shift_needed),
 * occupy the control marks and include the header that the shift command writes.
 * Without it every start is refused, and the report says so; one of another plan is
 * not taken. That of another day is that of another set-up of the base: not taken
 * either, where the day is known (in UTC, as receivers have it). */
static void set_shift(const mere_mission_t *mission, rover_t *rover)
{
#ifdef SHIFT
    if ((rover->day == 0u) || (rover->day == SHIFT.day)) {
        (void)mere_set_shift(mission, &rover->state, &SHIFT);
    } else {
        report_note(rover->input.time_ms, "the site shift is of another day");
    }
#else
    (void)mission;
    (void)rover;
#endif
}

/* The button to begin again, for another lap or a route that was given up: leg 0,
 * wherever the last one ended. Site shift, latched stops and the start-up test stay as
 * they are, and the operator has to start. It does nothing while the mission is under
 * way: nobody needs a second way to stop it. */
static void begin_again(const mere_mission_t *mission, rover_t *rover)
{
    const bool pressed = board_again_pressed();
    const mere_phase_t phase = rover->output.phase;

    if (pressed && (!rover->again_was) && ((phase == MERE_STOPPED) || (phase == MERE_WAITING) || (phase == MERE_FINISHED))) {
        (void)mere_start(mission, &rover->state, 0u);
        rover->memory_due = true; /* what a mere_start changes, no step tells */
        report_note(rover->input.time_ms, "begins again");
    }
    rover->again_was = pressed;
}

/* Stores what is worth keeping: at once, since power may go at any time; again with
 * the next turn where it could not be written. The day is that of power-up: a test
 * that was made after midnight counts as of the day before, and is asked for once
 * more. */
static void remember(rover_t *rover)
{
    const bool was_due = rover->memory_due;
    mere_memory_t memory;

    if (rover->day == 0u) {
        rover->day = rover->receiver.reader.day;
    }
    if ((was_due || rover->output.memory_due) && mere_remember(&rover->state, rover->day, &memory)) {
        rover->memory_due = !board_memory_write(&memory);
        if (rover->memory_due && !was_due) {
            report_note(rover->input.time_ms, "the memory cannot be written");
        }
    }
}

int main(void)
{
    static rover_t rover;
    const mere_mission_t *mission = &MISSION;
    /* loop_ms is the longest time between two steps: half of it leaves room for a
     * turn that takes longer than usual. */
    const uint32_t period_ms = (uint32_t)mission->rover.loop_ms / 2u;

    board_start(mission);
    await_day(mission, &rover, period_ms);
    take_up(mission, &rover);
    set_shift(mission, &rover);
    for (;;) {
        const mere_phase_t was = rover.output.phase;

        rover.input.time_ms = board_wait(period_ms);
        begin_again(mission, &rover);
        read_receiver(mission, &rover.receiver, &rover.input);
        read_board(mission, &rover.input);
        mere_step(mission, &rover.state, &rover.input, &rover.output);
        drive(&rover.output);
        board_feed_watchdog();
        remember(&rover);
        report_step(rover.input.time_ms, mission, was, &rover.output);
    }
}
