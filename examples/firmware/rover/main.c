/*
 * main.c: the loop of a rover that drives a mission.
 *
 * Copy this file, nmea, report, text and board.h; write a board.c for your board,
 * and a mission.h of two lines (the Makefile writes one):
 *
 *     #include "NAME_mission.h"
 *     #define MISSION NAME_mission
 *
 * The order of the loop matters:
 *
 *     wait for the turn; read everything; mere_step; drive; feed the watchdog
 *
 * so that the watchdog is fed only when the drive was set from fresh input. Do
 * not feed it from an interrupt, which goes on when this loop hangs.
 *
 * What this program cannot do. It is one processor running one program, and no
 * safety function. Wire the emergency stop so that it breaks the drive's supply
 * by itself; the hold pins read here tell the program that it happened, so that
 * nothing starts again by itself. The same goes for the hold-to-run switch. Have
 * a risk assessment made of the whole machine, and keep to local codes.
 */
#include "board.h"
#include "mission.h"
#include "nmea.h"
#include "report.h"

enum steering {
    TURN_GAIN = 3,                /* rate of turn for a turn to make, per second */
    TURN_GREATEST_CDEG_S = 6000,  /* 60 degrees a second */
    PIVOT_CDEG = 3000,            /* from this turn on: turn on the spot first */
    SLOW_CDEG = 1000              /* from this turn on: half speed */
};

/* Bytes of the receiver taken in one turn of the loop, at most: 4 times what
 * 115200 baud bring in 20 ms. A line that babbles must not hold the loop up. */
enum receiving { MOST_BYTES = 1024 };

/* What the receiver said last. */
typedef struct {
    nmea_reader_t reader;
    uint32_t time_of_day_ms;
    bool time_known;
} receiver_t;

/* The quality of a GGA sentence in guidance's terms. 3 (precise service) is one
 * receiver alone; 6 (estimated), 7 (typed in) and 8 (simulated) are no
 * measurements. */
static uint8_t quality_of(uint8_t digit)
{
    static const uint8_t qualities[10] = {
        MERE_QUALITY_NONE, MERE_QUALITY_STANDALONE, MERE_QUALITY_DIFFERENTIAL, MERE_QUALITY_STANDALONE, MERE_QUALITY_FIXED,
        MERE_QUALITY_FLOAT, MERE_QUALITY_NONE, MERE_QUALITY_NONE, MERE_QUALITY_NONE, MERE_QUALITY_NONE
    };

    return (digit < 10u) ? qualities[digit] : (uint8_t)MERE_QUALITY_NONE;
}

/* Reads what came from the receiver. If several fixes waited, the last counts. A
 * sentence without a time, or with that of the one before, is not new: a receiver
 * that repeats itself must not look like one that works. */
static void read_receiver(receiver_t *receiver, mere_input_t *input)
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
                input->quality = quality_of(fix.quality);
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

int main(void)
{
    static mere_state_t state;       /* zeros: never drives before mere_start */
    static receiver_t receiver;
    static mere_input_t input;
    static mere_output_t output;
    const mere_mission_t *mission = &MISSION;
    /* loop_ms is the longest time between two steps: half of it leaves room for a
     * turn that takes longer than usual. */
    const uint32_t period_ms = (uint32_t)mission->rover.loop_ms / 2u;

    board_start(mission);
    /* If this fails, mere_step never enables the drive and says why. */
    (void)mere_start(mission, &state, 0u);

    /* Where the mission was checked with a site shift of the day (rover.shift_needed),
     * occupy the control marks and include the header that the shift command writes.
     * Without it every start is refused, and the report says so; one of another plan
     * is not taken. Compare its day with today's where the firmware knows that.
     *
     *     (void)mere_set_shift(mission, &state, &NAME_shift);
     *
     * For another lap from the same set-up of the base: mere_start_lap.
     */
#ifdef SHIFT
    (void)mere_set_shift(mission, &state, &SHIFT);
#endif
    for (;;) {
        const mere_phase_t was = output.phase;

        input.time_ms = board_wait(period_ms);
        read_receiver(&receiver, &input);
        read_board(mission, &input);
        mere_step(mission, &state, &input, &output);
        drive(&output);
        board_feed_watchdog();
        report_step(input.time_ms, was, &output);
    }
}
