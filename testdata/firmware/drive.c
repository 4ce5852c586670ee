/*
 * drive.c: drives the code of docs/firmware.md, on the computer of the tests, through
 * laps, another mission and power cycles. page.c is what the page shows, as it stands.
 *
 * The rover is a point: it turns at once, has the speed it is told, and rolls out as the
 * mission's coast says, from 0.60 m/s 0.30 m. Fixes come every 100 ms, 80 ms late.
 */
#include "page.c"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TURN_MS = 10, FIX_MS = 100, LATE_MS = 80, THUMB = 22, MUSHROOM = 24 };

static uint32_t now_ms;
static uint32_t today = 20260615u;
static double east_m, north_m;
static double speed_m_s, heading_deg;
static bool power, thumb_pressed, mushroom_pressed, reset_pressed, receiver_masked, receiver_silent;
static double fix_east_m, fix_north_m;
static mere_memory_t stored;
static bool is_stored;
static int writes;
static const char *shown = "";

static void want(bool condition, const char *what)
{
    if (!condition) {
        printf("%lu ms: not so: %s (phase %d, reasons %lx, leg %u, %.3f E %.3f N, shown: %s)\n", (unsigned long)now_ms, what,
               (int)output.phase, (unsigned long)output.reasons, (unsigned)output.leg, east_m, north_m, shown);
        exit(1);
    }
}

uint32_t board_clock_ms(void) { return now_ms; }
bool board_reset_pressed(void) { return reset_pressed; }
void board_feed_watchdog(void) {}
uint32_t board_day(void) { return today; }
void board_show(const char *text) { shown = text; }

/* Both contacts are wired to ground with a pull up: closed is 0. The thumb switch opens
 * by itself, the mushroom button closes by itself. */
uint16_t board_level(uint16_t pin)
{
    want((pin == THUMB) || (pin == MUSHROOM), "a pin of the mission");
    return (uint16_t)((pin == THUMB) ? !thumb_pressed : mushroom_pressed);
}

bool board_speed(uint32_t *mm_s)
{
    *mm_s = (uint32_t)(speed_m_s * 1000.0 + 0.5);
    return true;
}

bool board_heading(uint16_t *cdeg)
{
    *cdeg = (uint16_t)((long)(heading_deg * 100.0 + 0.5) % 36000);
    return true;
}

void board_drive(bool on, uint16_t bearing_cdeg, uint16_t speed_mm_s)
{
    power = on;
    if (on) {
        heading_deg = bearing_cdeg / 100.0;
        speed_m_s = speed_mm_s / 1000.0;
    }
}

void board_mask_receiver(bool masked)
{
    want(masked != receiver_masked, "the interrupt is masked and let through in turn");
    receiver_masked = masked;
}

bool board_memory_read(mere_memory_t *memory)
{
    *memory = stored;
    return is_stored;
}

bool board_memory_write(const mere_memory_t *memory)
{
    stored = *memory;
    is_stored = true;
    writes++;
    return true;
}

/* Of WGS 84, with the radii of curvature at the origin: within a millimetre over a yard. */
static void fix(double east, double north)
{
    const double degree = 3.14159265358979323846 / 180.0, a = 6378137.0, e2 = 6.69437999014e-3, height = 168.0;
    const double latitude = (double)yard_mission.conversion.origin_latitude_ndeg * 1e-9;
    const double s = sin(latitude * degree), w = 1.0 - e2 * s * s;
    const double meridian = a * (1.0 - e2) / (w * sqrt(w)) + height, prime = a / sqrt(w) + height;

    rover_fix_received(yard_mission.conversion.origin_latitude_ndeg + llround(north / meridian / degree * 1e9),
                       yard_mission.conversion.origin_longitude_ndeg + llround(east / (prime * cos(latitude * degree)) / degree * 1e9), 4u);
}

/* One turn of the loop, and what the rover does meanwhile. */
static void turn(void)
{
    now_ms += TURN_MS;
    if (!power) {
        speed_m_s = fmax(0.0, speed_m_s - 0.60 * TURN_MS / 1000.0); /* v^2 / (2 * 0.30 m) */
    }
    east_m += speed_m_s * sin(heading_deg * 0.017453292519943295) * TURN_MS / 1000.0;
    north_m += speed_m_s * cos(heading_deg * 0.017453292519943295) * TURN_MS / 1000.0;
    if ((now_ms % FIX_MS) == 0u) {
        fix_east_m = east_m;
        fix_north_m = north_m;
    }
    if (((now_ms % FIX_MS) == LATE_MS) && !receiver_silent) {
        fix(fix_east_m, fix_north_m);
    }
    rover_turn();
    want(output.drive_enable == power, "the drive is what the output says");
}

static void wait(uint32_t ms)
{
    for (; ms >= TURN_MS; ms -= TURN_MS) {
        turn();
    }
}

/* Turns until a phase, for so long at most. */
static void until(mere_phase_t phase, uint32_t ms, const char *what)
{
    for (; (ms >= TURN_MS) && (output.phase != phase); ms -= TURN_MS) {
        turn();
    }
    want(output.phase == phase, what);
}

static void stand_at(const mere_leg_t *waypoint)
{
    east_m = waypoint->east_mm / 1000.0;
    north_m = waypoint->north_mm / 1000.0;
    wait(1000);
}

static void start(void)
{
    thumb_pressed = false;
    wait(500);
    thumb_pressed = true;
    until(MERE_DRIVING, 500, "the press starts");
}

static void start_up_test(void)
{
    want((output.reasons & MERE_UNTRIED) != 0u, "the start-up test is asked for");
    mushroom_pressed = true;
    wait(500);
    mushroom_pressed = false;
    wait(200);
    thumb_pressed = true;
    wait(200);
    thumb_pressed = false;
    wait(500);
    reset_pressed = true;
    wait(1000);
    reset_pressed = false;
    wait(500);
    want((output.reasons & (MERE_UNTRIED | MERE_RESET_NEEDED)) == 0u, "tested, and reset");
}

/* The program loses all but its memory. */
static void power_cycle(void)
{
    memset(&state, 0, sizeof(state));
    memset(&input, 0, sizeof(input));
    memset(&output, 0, sizeof(output));
    memset(&received, 0, sizeof(received));
    memory_due = false;
    power = false;
    wait(0);
    speed_m_s = 0.0;
    now_ms += 5000u;
    rover_power_up();
    wait(1000);
}

int main(void)
{
    rover_power_up();
    want(strcmp(shown, "no memory of these plans: leg 0, and the start-up test") == 0, "there is no memory yet");
    stand_at(&mission->legs[0]);
    start_up_test();
    want(output.phase == MERE_WAITING, "all is well, and nothing drives by itself");

    start();
    want(!rover_begin_again() && !rover_take_mission(&yard_back_mission), "not while it is under way");
    until(MERE_FINISHED, 120000, "the route is driven");
    want(writes > 0, "the memory was written");
    wait(1000);
    want((output.phase == MERE_FINISHED) && !power, "it stays finished");

    /* Another lap: no start-up test, but the start of the route, and the operator. */
    want(rover_begin_again(), "another lap begins");
    wait(1000);
    want(output.reasons & MERE_NOT_AT_START, "only from the first waypoint");
    stand_at(&mission->legs[0]);
    want((output.reasons & MERE_UNTRIED) == 0u, "the lap needs no start-up test");
    want(output.phase == MERE_STOPPED || output.phase == MERE_WAITING, "the lap waits for the operator");
    start();

    /* The supply fails on the first leg: on from there, by a press, on the same day. */
    wait(4000);
    want((output.leg == 0u) && (output.phase == MERE_DRIVING), "on the first leg");
    thumb_pressed = false;
    power_cycle();
    want((output.leg == 0u) && ((output.reasons & (MERE_UNTRIED | MERE_NOT_AT_START)) == 0u), "it may go on from here");
    want(!power, "nothing drives by itself");
    start();
    until(MERE_FINISHED, 120000, "the second lap is driven");
    power_cycle();
    want(output.phase == MERE_FINISHED, "what was finished stays so");

    /* The other mission, the other way round, from where the rover stands. */
    thumb_pressed = false;
    wait(500);
    want(rover_take_mission(&yard_back_mission), "the other mission");
    wait(1000);
    want((output.reasons & MERE_UNTRIED) != 0u, "its start-up test is its own");
    start_up_test();
    start();
    wait(2000);
    thumb_pressed = false;
    power_cycle();
    want(mission == &yard_back_mission, "the memory says which mission it was");
    start();

    /* An emergency stop, and the supply fails: it stays latched, the next day too. */
    wait(1000);
    mushroom_pressed = true;
    until(MERE_STOPPED, 100, "the emergency stop stops");
    want(strcmp(shown, "emergency stop") == 0, "and is told");
    mushroom_pressed = false;
    thumb_pressed = false;
    wait(3000);
    today++;
    power_cycle();
    want((output.reasons & MERE_RESET_NEEDED) != 0u, "what was latched stays so");
    start_up_test();
    start();

    /* The receiver falls silent. */
    receiver_silent = true;
    until(MERE_STOPPED, 2000, "it stops");
    want(strcmp(shown, "fix too old") == 0, "and says why");
    receiver_silent = false;
    wait(3000);
    start();
    until(MERE_FINISHED, 120000, "the way back is driven");
    want((mission == &yard_back_mission) && (hypot(east_m - 5.0, north_m - 5.0) < 0.30), "it is back at the first mark");

    puts("driven");
    return 0;
}
