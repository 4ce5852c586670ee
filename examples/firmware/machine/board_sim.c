/*
 * board_sim.c: the functions of board.h on a simulated machine, so that the
 * example runs in the emulator. Write a board.c for your board in its place.
 *
 * The program is started with the name of a scenario file, and may be given
 * "trace=FILE" to write what is true of the rover at each turn of the loop,
 * "record=FILE" to write what the receiver says, "replay=FILE" to have it say
 * what was recorded. Lines that begin with a time and "~" are this file's: what
 * happens to the machine, and where it truly is.
 *
 * The simulated machine has no hard-wired stop: so that it is seen that the
 * program stops it. Yours must have one.
 *
 * Its watchdog cuts the drive and resets the processor. A reset, and a power cycle,
 * begin the program anew with all its variables; the machine goes on, in memory that
 * they leave alone, and so do its clock (so that a transcript has one time) and its
 * memory without power.
 *
 * Words of a scenario, each with a time before it:
 *
 *   hold 0|1            the hold-to-run switches are released, pressed
 *   emergency 0|1       the emergency stops are pulled out, pressed
 *   interlock 0|1       the interlocks are open, closed
 *   contact I 0|1       contact I of the hold table alone: stop, run
 *   welded I 0|1        contact I is repaired, says run whatever happens
 *   reset 0|1           the reset button; start 0|1 the start button; again 0|1 that
 *                       which begins the route again
 *   sentences 0|1       the receiver is silent, speaks
 *   quality Q           digit of quality in its sentences
 *   frozen 0|1          it repeats its last sentence
 *   garbled 0|1         one byte of each sentence is wrong
 *   noise 0|1           noise of the positions
 *   jump E N            its positions are wrong by so many mm
 *   stands 0|1          its positions stay what they are, and its time goes on
 *   behind T            its sentences come later and later, in the end by T ms
 *   push E N T          the rover is pushed by so many mm in T ms
 *   steering R          the steering is stuck at R hundredths of a degree a second
 *   steers              the steering is repaired
 *   backwards 0|1       the motors turn the other way
 *   slip 0|1            the wheels turn, and the rover stays where it is
 *   hang T              the program hangs for T ms
 *   power-cycle T       the board is off for T ms
 *   spoil-memory        the memory without power is damaged
 *   end                 the emulator ends
 *   end-at-rest T       it ends once the rover has stood without power for T ms
 *
 * and "include", see sim_scenario.h.
 */
#include "board.h"

#include "semihost.h"
#include "sim_receiver.h"
#include "sim_rover.h"
#include "sim_scenario.h"
#include "startup.h"
#include "text.h"

enum simulation {
    WATCHDOG_MS = 100,
    TURN_MS = 10,                    /* between two lines of the trace while the board is off */
    HEADING_BIAS_CDEG = 100,         /* a heading sensor that was not mounted straight */
    HEADING_RANGE_CDEG = 100,
    TRACE_BYTES = 4096
};

typedef struct {
    const mere_mission_t *mission;
    uint32_t time_ms;
    sim_rover_t rover;
    sim_receiver_t receiver;
    uint16_t run;                    /* bit i: contact i of the hold table is in run */
    uint16_t welded;                 /* bit i: it stays there */
    bool reset;
    bool start;
    bool again;
    mere_memory_t memory;            /* what lasts without power, with memory_kept */
    bool memory_kept;
    /* the scenario */
    sim_script_t script;
    sim_event_t event;               /* the next, with event_ready */
    bool event_ready;
    uint32_t hang_ms;
    uint32_t off_ms;
    /* the watchdog, and what is told of the rover */
    uint32_t fed_ms;                 /* time of the last feeding */
    bool bitten;
    bool power;                      /* as the program asked for */
    bool rolling;                    /* power is off, the rover is not yet at rest */
    uint32_t rest_ms;                /* when it came to rest */
    uint32_t end_after_ms;           /* see end-at-rest; 0: not asked for */
    /* files */
    int32_t console;
    int32_t trace;
    char traced[TRACE_BYTES];
    uint32_t traced_bytes;
} machine_t;

/* Goes on through a reset. */
static machine_t machine __attribute__((section(".noinit")));

/* ---- telling ---- */

void board_print(const char *text)
{
    text_t line = { "", 0u };

    text_add(&line, text);
    (void)semihost_write(machine.console, line.text, line.length);
}

static void tell(const char *words)
{
    text_t line = { "", 0u };

    text_thousandths(&line, (int64_t)machine.time_ms, 9u);
    text_add(&line, "  ~ ");
    text_add(&line, words);
    text_add(&line, "\n");
    board_print(line.text);
}

/* Tells where the rover is, in the columns of report.c. */
static void tell_place(const char *words, mere_point_t at)
{
    text_t line = { "", 0u };

    text_add(&line, words);
    while (line.length < 21u) {
        text_add(&line, " ");
    }
    text_thousandths(&line, at.east_mm, 7u);
    text_add(&line, " E");
    text_thousandths(&line, at.north_mm, 9u);
    text_add(&line, " N");
    tell(line.text);
}

static void flush_trace(void)
{
    if ((machine.trace >= 0) && (machine.traced_bytes > 0u)) {
        (void)semihost_write(machine.trace, machine.traced, machine.traced_bytes);
        machine.traced_bytes = 0u;
    }
}

/* What the contacts say. */
static uint32_t contacts_in_run(void)
{
    return (uint32_t)machine.run | machine.welded;
}

/* Time (ms), east, north of the antenna (mm), heading (cdeg), speed (mm/s), power
 * asked for, power on after the watchdog, contacts in run (bit i for contact i), and
 * the instant (ms) that the last position which was read holds for. */
static void write_trace(void)
{
    const mere_point_t at = sim_rover_antenna(&machine.rover);
    text_t line = { "", 0u };
    uint32_t i;

    if (machine.trace < 0) {
        return;
    }
    text_number(&line, (int64_t)machine.time_ms, 1u, ' ');
    text_add(&line, " ");
    text_number(&line, at.east_mm, 1u, ' ');
    text_add(&line, " ");
    text_number(&line, at.north_mm, 1u, ' ');
    text_add(&line, " ");
    text_number(&line, (int64_t)sim_rover_heading_cdeg(&machine.rover), 1u, ' ');
    text_add(&line, " ");
    text_number(&line, (int64_t)sim_rover_speed_mm_s(&machine.rover), 1u, ' ');
    text_add(&line, machine.power ? " 1" : " 0");
    text_add(&line, machine.rover.asked.power ? " 1 " : " 0 ");
    text_number(&line, (int64_t)contacts_in_run(), 1u, ' ');
    text_add(&line, " ");
    text_number(&line, (int64_t)machine.receiver.held_ms, 1u, ' ');
    text_add(&line, "\n");
    if ((machine.traced_bytes + line.length) > (uint32_t)TRACE_BYTES) {
        flush_trace();
    }
    for (i = 0u; i < line.length; i++) {
        machine.traced[machine.traced_bytes + i] = line.text[i];
    }
    machine.traced_bytes += line.length;
}

static void finish(bool success)
{
    flush_trace();
    semihost_exit(success);
}

static void fail(const char *words)
{
    board_print("board_sim: ");
    board_print(words);
    board_print("\n");
    finish(false);
}

/* ---- the scenario ---- */

static bool same_text(const char *a, const char *b)
{
    while ((*a != '\0') && (*a == *b)) {
        a++;
        b++;
    }
    return *a == *b;
}

/* Some contacts, and one of them set or taken out. */
static uint16_t with_contact(uint16_t contacts, uint32_t i, bool set)
{
    const uint32_t bit = (uint32_t)1 << i;

    return (uint16_t)(set ? (contacts | bit) : (contacts & ~bit));
}

static void set_contacts(uint8_t kind, bool run)
{
    uint32_t i;

    for (i = 0u; i < machine.mission->hold_count; i++) {
        if (machine.mission->holds[i].kind == kind) {
            machine.run = with_contact(machine.run, i, run);
        }
    }
}

/* Words with one number. */
static bool happen_to_controls(const sim_event_t *event)
{
    const bool yes = (event->count > 0u) && (event->numbers[0] != 0);
    bool known = event->count == 1u;

    if (!known) {
        /* not one of these */
    } else if (same_text(event->word, "hold")) {
        set_contacts(MERE_HOLD_TO_RUN, yes);
    } else if (same_text(event->word, "emergency")) {
        set_contacts(MERE_EMERGENCY_STOP, !yes);
    } else if (same_text(event->word, "interlock")) {
        set_contacts(MERE_INTERLOCK, yes);
    } else if (same_text(event->word, "reset")) {
        machine.reset = yes;
    } else if (same_text(event->word, "start")) {
        machine.start = yes;
    } else if (same_text(event->word, "again")) {
        machine.again = yes;
    } else if (same_text(event->word, "power-cycle") && (event->numbers[0] > 0)) {
        machine.off_ms = (uint32_t)event->numbers[0];
    } else if (same_text(event->word, "hang") && (event->numbers[0] >= 0)) {
        machine.hang_ms = (uint32_t)event->numbers[0];
    } else if (same_text(event->word, "end-at-rest") && (event->numbers[0] > 0)) {
        machine.end_after_ms = (uint32_t)event->numbers[0];
        machine.rest_ms = machine.time_ms;
    } else {
        known = false;
    }
    return known;
}

static bool happen_to_receiver(const sim_event_t *event)
{
    const bool yes = (event->count > 0u) && (event->numbers[0] != 0);
    bool known = true;

    if ((event->count == 2u) && same_text(event->word, "jump")) {
        machine.receiver.jump.east_mm = event->numbers[0];
        machine.receiver.jump.north_mm = event->numbers[1];
    } else if (event->count != 1u) {
        known = false;
    } else if (same_text(event->word, "sentences")) {
        machine.receiver.silent = !yes;
    } else if (same_text(event->word, "quality") && (event->numbers[0] >= 0) && (event->numbers[0] <= 9)) {
        machine.receiver.quality = (char)('0' + event->numbers[0]);
    } else if (same_text(event->word, "frozen")) {
        machine.receiver.frozen = yes;
    } else if (same_text(event->word, "garbled")) {
        machine.receiver.garbled = yes;
    } else if (same_text(event->word, "noise")) {
        machine.receiver.noiseless = !yes;
    } else if (same_text(event->word, "stands")) {
        machine.receiver.standing = yes;
    } else if (same_text(event->word, "behind") && (event->numbers[0] >= 0)) {
        machine.receiver.behind_at_last_ms = (uint32_t)event->numbers[0];
    } else {
        known = false;
    }
    return known;
}

static bool happen_to_rover(const sim_event_t *event)
{
    bool known = true;

    if ((event->count == 3u) && same_text(event->word, "push")) {
        sim_rover_push(&machine.rover, event->numbers[0], event->numbers[1], (uint32_t)event->numbers[2]);
    } else if ((event->count == 1u) && same_text(event->word, "steering")) {
        machine.rover.steering_stuck = true;
        machine.rover.stuck_cdeg_s = event->numbers[0];
    } else if ((event->count == 0u) && same_text(event->word, "steers")) {
        machine.rover.steering_stuck = false;
    } else if ((event->count == 1u) && same_text(event->word, "backwards")) {
        machine.rover.reversed = event->numbers[0] != 0;
    } else if ((event->count == 1u) && same_text(event->word, "slip")) {
        machine.rover.slipping = event->numbers[0] != 0;
    } else if ((event->count == 0u) && same_text(event->word, "spoil-memory")) {
        machine.memory.latched ^= 1u;
    } else if ((event->count == 2u) && same_text(event->word, "contact") && (event->numbers[0] >= 0)
               && (event->numbers[0] < (int32_t)machine.mission->hold_count)) {
        machine.run = with_contact(machine.run, (uint32_t)event->numbers[0], event->numbers[1] != 0);
    } else if ((event->count == 2u) && same_text(event->word, "welded") && (event->numbers[0] >= 0)
               && (event->numbers[0] < (int32_t)machine.mission->hold_count)) {
        machine.welded = with_contact(machine.welded, (uint32_t)event->numbers[0], event->numbers[1] != 0);
    } else {
        known = false;
    }
    return known;
}

static void read_event(void)
{
    bool wrong = false;

    machine.event_ready = sim_scenario_next(&machine.script, &machine.event, &wrong);
    if (wrong) {
        fail("a line of the scenario cannot be read");
    }
}

static void end_here(void)
{
    tell_place("stands", sim_rover_antenna(&machine.rover));
    finish(true);
}

/* ---- the world ---- */

static void watch(void)
{
    if (((machine.time_ms - machine.fed_ms) > (uint32_t)WATCHDOG_MS) && !machine.bitten) {
        machine.bitten = true;
        machine.rover.asked.power = false;
        tell("the watchdog cuts the drive");
    }
    if (machine.rolling && (machine.rover.speed_um_s == 0) && (machine.rover.turn_cdeg_s == 0)
        && !machine.rover.waiting[machine.rover.next].power) {
        machine.rolling = false;
        machine.rest_ms = machine.time_ms;
        tell_place("at rest", sim_rover_antenna(&machine.rover));
    }
}

/* Lets time go by, up to a bite of the watchdog. */
static void advance(uint32_t ms)
{
    uint32_t i;

    for (i = 0u; (i < ms) && !machine.bitten; i++) {
        machine.time_ms++;
        sim_rover_run(&machine.rover);
        sim_receiver_run(&machine.receiver, machine.time_ms, &machine.rover);
        watch();
    }
}

/* Cuts the drive, whoever asks for what. */
static void lose_power(void)
{
    machine.rolling = machine.rolling || machine.power;
    machine.power = false;
    machine.rover.asked.power = false;
}

/* The board is off: the drive with it, and nobody listens to the receiver. Then the
 * program begins. */
static void be_off(void)
{
    const uint32_t on_ms = machine.time_ms + machine.off_ms;

    lose_power();
    while (machine.time_ms < on_ms) {
        machine.fed_ms = machine.time_ms;
        advance(((on_ms - machine.time_ms) < (uint32_t)TURN_MS) ? (on_ms - machine.time_ms) : (uint32_t)TURN_MS);
        sim_receiver_flush(&machine.receiver, machine.time_ms);
        write_trace();
    }
    machine.off_ms = 0u;
    machine.hang_ms = 0u;
    startup_again();
}

static void run_scenario(void)
{
    if ((machine.end_after_ms > 0u) && (!machine.power) && (!machine.rolling)
        && ((machine.time_ms - machine.rest_ms) >= machine.end_after_ms)) {
        end_here();
    }
    while (machine.event_ready && (machine.event.time_ms <= machine.time_ms)) {
        tell(machine.event.text.text);
        if (same_text(machine.event.word, "end")) {
            end_here();
        }
        if (!happen_to_controls(&machine.event) && !happen_to_receiver(&machine.event) && !happen_to_rover(&machine.event)) {
            fail("a line of the scenario has an unknown word, or wrong numbers");
        }
        read_event();
    }
    if (machine.off_ms > 0u) {
        be_off();
    }
    if ((!machine.event_ready) && (machine.end_after_ms == 0u)) {
        fail("the scenario has no end");
    }
}

/* ---- board.h ---- */

/* The text after key in a word of the command line, or a null pointer. */
static const char *after(const char *word, const char *key)
{
    while ((*key != '\0') && (*word == *key)) {
        word++;
        key++;
    }
    return (*key == '\0') ? word : (const char *)0;
}

static int32_t open_named(const char *name, bool writing)
{
    const int32_t file = semihost_open(name, writing);

    if (file < 0) {
        board_print(name);
        board_print(": ");
        fail("cannot be opened");
    }
    return file;
}

static void open_files(void)
{
    static char line[512];
    int32_t record = -1;
    int32_t replay = -1;
    char *word = line;
    uint32_t words = 0u;

    machine.console = semihost_open(":tt", true);
    machine.script.file = -1;
    machine.script.included = -1;
    machine.trace = -1;
    if (!semihost_command_line(line, sizeof(line))) {
        fail("no command line");
    }
    while (*word != '\0') {
        char *rest = word;
        bool last;

        while ((*rest != ' ') && (*rest != '\0')) {
            rest++;
        }
        last = *rest == '\0';
        *rest = '\0';
        if (words > 0u) { /* the first is the program's own name */
            if (after(word, "trace=") != (const char *)0) {
                machine.trace = open_named(after(word, "trace="), true);
            } else if (after(word, "record=") != (const char *)0) {
                record = open_named(after(word, "record="), true);
            } else if (after(word, "replay=") != (const char *)0) {
                replay = open_named(after(word, "replay="), false);
            } else {
                machine.script.file = open_named(word, false);
            }
        }
        words++;
        word = last ? rest : (rest + 1);
    }
    if (machine.script.file < 0) {
        fail("name a scenario file");
    }
    sim_receiver_start(&machine.receiver, machine.mission, record, replay);
}

void board_start(const mere_mission_t *mission)
{
    if (machine.mission == (const mere_mission_t *)0) {
        machine.mission = mission;
        open_files();
        sim_rover_start(&machine.rover, mission);
        set_contacts(MERE_EMERGENCY_STOP, true);
        set_contacts(MERE_INTERLOCK, true);
        sim_receiver_run(&machine.receiver, 0u, &machine.rover);
        read_event();
    }
    machine.fed_ms = machine.time_ms;
    machine.bitten = false;
    sim_receiver_flush(&machine.receiver, machine.time_ms);
}

uint32_t board_wait(uint32_t period_ms)
{
    run_scenario();
    advance(period_ms + machine.hang_ms);
    machine.hang_ms = 0u;
    write_trace();
    if (machine.bitten) {
        lose_power();
        startup_again();
    }
    return machine.time_ms;
}

bool board_receive(char *byte)
{
    return sim_receiver_byte(&machine.receiver, machine.time_ms, byte);
}

uint16_t board_level(uint16_t pin)
{
    uint16_t level = 0u;
    uint32_t i;

    for (i = 0u; i < machine.mission->hold_count; i++) {
        const mere_hold_t *hold = &machine.mission->holds[i];

        if (hold->pin == pin) {
            const uint32_t runs = (contacts_in_run() >> i) & 1u;

            level = (runs != 0u) ? hold->run_level : (uint16_t)(1u - hold->run_level);
        }
    }
    return level;
}

bool board_reset_pressed(void)
{
    return machine.reset;
}

bool board_start_pressed(void)
{
    return machine.start;
}

bool board_again_pressed(void)
{
    return machine.again;
}

bool board_speed(uint32_t *speed_mm_s)
{
    const int32_t speed_um_s = machine.rover.speed_um_s;

    *speed_mm_s = ((uint32_t)((speed_um_s < 0) ? -speed_um_s : speed_um_s) + 500u) / 1000u;
    return true;
}

bool board_heading(uint16_t *heading_cdeg)
{
    const int32_t error = (int32_t)HEADING_BIAS_CDEG + sim_noise(&machine.rover.noise, HEADING_RANGE_CDEG);

    *heading_cdeg = (uint16_t)(((int32_t)sim_rover_heading_cdeg(&machine.rover) + error + 36000) % 36000);
    return true;
}

void board_drive(bool power, uint32_t speed_mm_s, int32_t turn_cdeg_s)
{
    if (machine.power && !power) {
        machine.rolling = true;
    } else if (power) {
        machine.rolling = false;
    } else {
        /* off as before */
    }
    machine.power = power;
    machine.rover.asked.power = power && !machine.bitten;
    machine.rover.asked.speed_mm_s = (uint16_t)((speed_mm_s > 65535u) ? 65535u : speed_mm_s);
    machine.rover.asked.turn_cdeg_s = (int16_t)((turn_cdeg_s > 32767) ? 32767 : ((turn_cdeg_s < -32767) ? -32767 : turn_cdeg_s));
}

void board_feed_watchdog(void)
{
    machine.fed_ms = machine.time_ms;
}

bool board_memory_read(mere_memory_t *memory)
{
    *memory = machine.memory;
    return machine.memory_kept;
}

bool board_memory_write(const mere_memory_t *memory)
{
    machine.memory = *memory;
    machine.memory_kept = true;
    return true;
}
