/*
 * report.c: see report.h. A line has the time (s), what happened, the leg, where
 * the rover was at the last good fix (m), its distance from the fence (m), and
 * why it stopped, where it did.
 */
#include "report.h"

#include "board.h"
#include "text.h"

typedef struct {
    uint32_t event;
    const char *words;
} name_t;

static void add_reasons(text_t *line, uint32_t reasons)
{
    uint32_t bit;

    for (bit = 1u; bit <= (uint32_t)MERE_NOT_AT_START; bit <<= 1) {
        if ((reasons & bit) != 0u) {
            text_add(line, ((reasons & (bit - 1u)) != 0u) ? ", " : "  ");
            text_add(line, mere_reason_text(bit));
        }
    }
}

static void write_line(uint32_t time_ms, const char *what, const mere_output_t *output, uint32_t reasons)
{
    text_t line = { "", 0u };

    text_thousandths(&line, (int64_t)time_ms, 9u);
    text_add(&line, what);
    text_add(&line, "leg ");
    text_number(&line, (int64_t)output->leg, 2u, ' ');
    if (output->located) {
        text_thousandths(&line, output->at.east_mm, 9u);
        text_add(&line, " E");
        text_thousandths(&line, output->at.north_mm, 9u);
        text_add(&line, " N  ");
        if (output->margin_mm >= 0) {
            text_add(&line, "margin");
            text_thousandths(&line, output->margin_mm, 7u);
        } else {
            text_add(&line, "outside");
        }
    } else {
        text_add(&line, "  place unknown");
    }
    add_reasons(&line, reasons);
    text_add(&line, "\n");
    board_print(line.text);
}

void report_step(uint32_t time_ms, mere_phase_t was, const mere_output_t *output)
{
    static const name_t names[] = {
        { MERE_EVENT_RESET, "  reset          " },
        { MERE_EVENT_START_REFUSED, "  start refused  " },
        { MERE_EVENT_STARTED, "  started        " },
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
            uint32_t reasons = 0u;

            if (names[i].event == (uint32_t)MERE_EVENT_STOPPED) {
                reasons = output->stopped_by;
            } else if (names[i].event == (uint32_t)MERE_EVENT_START_REFUSED) {
                reasons = output->reasons;
            } else {
                /* nothing stands against it */
            }
            write_line(time_ms, names[i].words, output, reasons);
        }
    }
    if ((output->phase == MERE_WAITING) && (was != MERE_WAITING)) {
        write_line(time_ms, "  ready          ", output, 0u);
    }
}
