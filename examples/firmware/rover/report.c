/*
 * report.c: see report.h. A line has the time (s), what happened, the leg, where
 * the rover was at the last good fix (m), its distance from the fence (m), and
 * why it stopped, where it did. A hold is named by its kind and its pin, which the
 * tables have; its name in the mission file is a comment of the header alone.
 */
#include "report.h"

#include "board.h"
#include "text.h"

typedef struct {
    uint32_t event;
    const char *words;
} name_t;

static const char *kind_text(uint8_t kind)
{
    const char *words = "interlock";

    if (kind == (uint8_t)MERE_HOLD_TO_RUN) {
        words = "hold-to-run";
    } else if (kind == (uint8_t)MERE_EMERGENCY_STOP) {
        words = "emergency stop";
    } else {
        /* anything else */
    }
    return words;
}

/* The contacts of some holds, bit i for holds[i]. */
static void add_holds(text_t *line, const mere_mission_t *mission, uint32_t holds)
{
    const char *between = "";
    uint32_t i;

    for (i = 0u; i < mission->hold_count; i++) {
        if (((holds >> i) & 1u) != 0u) {
            text_add(line, between);
            text_add(line, kind_text(mission->holds[i].kind));
            text_add(line, " pin ");
            text_number(line, (int64_t)mission->holds[i].pin, 1u, ' ');
            between = ", ";
        }
    }
}

static void add_reasons(text_t *line, const mere_mission_t *mission, const mere_output_t *output, uint32_t reasons)
{
    uint32_t i;

    for (i = 0u; i < (uint32_t)MERE_REASON_COUNT; i++) {
        const uint32_t bit = (uint32_t)1 << i;

        if ((reasons & bit) != 0u) {
            text_add(line, ((reasons & (bit - 1u)) != 0u) ? ", " : "  ");
            text_add(line, mere_reason_text(bit));
            if (bit == (uint32_t)MERE_UNTRIED) {
                text_add(line, " (");
                add_holds(line, mission, output->untried);
                text_add(line, ")");
            }
        }
    }
}

/* Time, what happened, leg and place. */
static void begin_line(text_t *line, uint32_t time_ms, const char *what, uint32_t leg, const mere_output_t *output)
{
    text_thousandths(line, (int64_t)time_ms, 9u);
    text_add(line, what);
    text_add(line, "leg ");
    text_number(line, (int64_t)leg, 2u, ' ');
    if (output->located) {
        text_thousandths(line, output->at.east_mm, 9u);
        text_add(line, " E");
        text_thousandths(line, output->at.north_mm, 9u);
        text_add(line, " N  ");
        if (output->margin_mm >= 0) {
            text_add(line, "margin");
            text_thousandths(line, output->margin_mm, 7u);
        } else {
            text_add(line, "outside");
        }
    } else {
        text_add(line, "  place unknown");
    }
}

/* The leg that belongs to an event: of an arrival that which has ended. In the output it
 * is that to be driven next, but for the last. */
static uint32_t leg_of(uint32_t event, const mere_output_t *output)
{
    const bool next = (event == (uint32_t)MERE_EVENT_ARRIVED) && ((output->events & (uint32_t)MERE_EVENT_FINISHED) == 0u);

    return next ? ((uint32_t)output->leg - 1u) : output->leg;
}

static void write_line(text_t *line)
{
    text_add(line, "\n");
    board_print(line->text);
}

/* The reasons that belong to an event. */
static uint32_t reasons_of(uint32_t event, const mere_output_t *output)
{
    const uint32_t of_reset = (uint32_t)MERE_EMERGENCY | (uint32_t)MERE_CHANNELS_DIFFER | (uint32_t)MERE_INTERLOCK_OPEN
                              | (uint32_t)MERE_RESET_NEEDED | (uint32_t)MERE_LATE_STEP;
    uint32_t reasons = 0u;

    if (event == (uint32_t)MERE_EVENT_STOPPED) {
        reasons = output->stopped_by;
    } else if (event == (uint32_t)MERE_EVENT_START_REFUSED) {
        reasons = output->reasons;
    } else if (event == (uint32_t)MERE_EVENT_RESET_REFUSED) {
        reasons = output->reasons & of_reset;
    } else {
        /* nothing stands against it */
    }
    return reasons;
}

void report_step(uint32_t time_ms, const mere_mission_t *mission, mere_phase_t was, const mere_output_t *output)
{
    static const name_t names[] = {
        { MERE_EVENT_TRIED, "  tried          " },
        { MERE_EVENT_RESET, "  reset          " },
        { MERE_EVENT_RESET_REFUSED, "  reset refused  " },
        { MERE_EVENT_START_REFUSED, "  start refused  " },
        { MERE_EVENT_STARTED, "  started        " },
        { MERE_EVENT_CUT, "  cut            " },
        { MERE_EVENT_STOPPED, "  STOPPED        " },
        { MERE_EVENT_MISSED, "  missed         " },
        { MERE_EVENT_SHORT, "  short of it    " },
        { MERE_EVENT_ARRIVED, "  arrived        " },
        { MERE_EVENT_DEPARTED, "  departed       " },
        { MERE_EVENT_FINISHED, "  FINISHED       " }
    };
    uint32_t i;

    for (i = 0u; i < (sizeof(names) / sizeof(names[0])); i++) {
        if ((output->events & names[i].event) != 0u) {
            const bool dwells = (names[i].event == (uint32_t)MERE_EVENT_STARTED) && (output->phase == MERE_DWELLING);
            text_t line = { "", 0u };

            begin_line(&line, time_ms, dwells ? "  dwells anew    " : names[i].words, leg_of(names[i].event, output), output);
            add_reasons(&line, mission, output, reasons_of(names[i].event, output));
            if ((names[i].event == (uint32_t)MERE_EVENT_TRIED) && (output->untried != 0u)) {
                text_add(&line, "  still to try: ");
                add_holds(&line, mission, output->untried);
            }
            write_line(&line);
        }
    }
    if ((output->phase == MERE_WAITING) && (was != MERE_WAITING)) {
        text_t line = { "", 0u };

        /* That a hold-to-run is released goes without saying. */
        begin_line(&line, time_ms, "  ready          ", output->leg, output);
        add_reasons(&line, mission, output, output->reasons & (uint32_t)MERE_LET_GO_FIRST);
        write_line(&line);
    }
}

void report_note(uint32_t time_ms, const char *words)
{
    text_t line = { "", 0u };

    text_thousandths(&line, (int64_t)time_ms, 9u);
    text_add(&line, "  ");
    text_add(&line, words);
    write_line(&line);
}
