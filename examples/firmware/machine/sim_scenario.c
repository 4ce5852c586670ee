/* sim_scenario.c: see sim_scenario.h. */
#include "sim_scenario.h"

#include "semihost.h"

/* A line without its comment; false at the end of the file. */
static bool read_text(int32_t file, text_t *line)
{
    const text_t empty = { "", 0u };
    char byte[2] = { '\0', '\0' };
    bool comment = false;
    bool any = false;

    *line = empty;
    while ((byte[0] != '\n') && (semihost_read(file, byte, 1u) == 1u)) {
        any = true;
        comment = comment || (byte[0] == '#');
        if ((!comment) && (byte[0] != '\n') && (byte[0] != '\r')) {
            text_add(line, byte);
        }
    }
    while ((line->length > 0u) && (line->text[line->length - 1u] == ' ')) {
        line->length--;
        line->text[line->length] = '\0';
    }
    return any;
}

static const char *skip_spaces(const char *text)
{
    while (*text == ' ') {
        text++;
    }
    return text;
}

/* A whole number below a hundred million; the text after it, or a null pointer. */
static const char *read_number(const char *text, int32_t *number)
{
    const bool negative = *text == '-';
    int32_t value = 0;
    uint32_t digits = 0u;

    if (negative) {
        text++;
    }
    while ((*text >= '0') && (*text <= '9') && (digits < 8u)) {
        value = (value * 10) + (int32_t)(*text - '0');
        text++;
        digits++;
    }
    *number = negative ? -value : value;
    return ((digits > 0u) && ((*text == ' ') || (*text == '\0'))) ? text : (const char *)0;
}

/* Whether two texts are the same. */
static bool same_text(const char *a, const char *b)
{
    while ((*a != '\0') && (*a == *b)) {
        a++;
        b++;
    }
    return *a == *b;
}

/* An event; of "include" the rest is a name, and stays in the text. */
static bool read_event(const text_t *line, sim_event_t *event)
{
    const text_t empty = { "", 0u };
    int32_t time_ms = 0;
    uint32_t length = 0u;
    const char *rest = read_number(skip_spaces(line->text), &time_ms);

    if ((rest == (const char *)0) || (time_ms < 0)) {
        return false;
    }
    rest = skip_spaces(rest);
    event->time_ms = (uint32_t)time_ms;
    event->text = empty;
    text_add(&event->text, rest);
    while ((*rest != ' ') && (*rest != '\0')) {
        if (length >= (sizeof(event->word) - 1u)) {
            return false;
        }
        event->word[length] = *rest;
        length++;
        rest++;
    }
    event->word[length] = '\0';
    event->count = 0u;
    rest = skip_spaces(rest);
    while ((!same_text(event->word, "include")) && (*rest != '\0')) {
        if (event->count >= 3u) {
            return false;
        }
        rest = read_number(rest, &event->numbers[event->count]);
        if (rest == (const char *)0) {
            return false;
        }
        event->count++;
        rest = skip_spaces(rest);
    }
    return length > 0u;
}

/* The next line that says something: of the included file, as long as there is one. */
static bool next_line(sim_script_t *script, text_t *line)
{
    bool found = false;

    line->length = 0u;
    if (script->included >= 0) {
        while ((line->length == 0u) && read_text(script->included, line)) {
            found = line->length > 0u;
        }
        if (!found) {
            script->included = -1;
            script->from_ms = 0u;
        }
    }
    while ((line->length == 0u) && read_text(script->file, line)) {
        found = line->length > 0u;
    }
    return found;
}

bool sim_scenario_next(sim_script_t *script, sim_event_t *event, bool *wrong)
{
    text_t line;

    while (next_line(script, &line)) {
        if (!read_event(&line, event)) {
            *wrong = true;
            return false;
        }
        event->time_ms += script->from_ms;
        if (!same_text(event->word, "include")) {
            return true;
        }
        if (script->included >= 0) {
            *wrong = true;
            return false;
        }
        script->included = semihost_open(skip_spaces(&event->text.text[sizeof("include") - 1u]), false);
        script->from_ms = event->time_ms;
        if (script->included < 0) {
            *wrong = true;
            return false;
        }
    }
    return false;
}
