/* text.c: see text.h. */
#include "text.h"

static void add_byte(text_t *line, char byte)
{
    if (line->length < ((uint32_t)TEXT_LONGEST - 1u)) {
        line->text[line->length] = byte;
        line->length++;
        line->text[line->length] = '\0';
    }
}

void text_add(text_t *line, const char *words)
{
    while (*words != '\0') {
        add_byte(line, *words);
        words++;
    }
}

/* The digits from the last to the first, decimals and sign included, then the
 * other way round. 20 digits, sign and point at most. */
static void add_decimal(text_t *line, int64_t number, uint32_t decimals, uint32_t width, char fill)
{
    char digits[24];
    uint32_t count = 0u;
    uint64_t rest = (number < 0) ? (0u - (uint64_t)number) : (uint64_t)number;

    while ((rest != 0u) || (count < (decimals + ((decimals > 0u) ? 2u : 1u)))) {
        if ((decimals > 0u) && (count == decimals)) {
            digits[count] = '.';
        } else {
            digits[count] = (char)('0' + (char)(rest % 10u));
            rest /= 10u;
        }
        count++;
    }
    if (number < 0) {
        digits[count] = '-';
        count++;
    }
    while (width > count) {
        add_byte(line, fill);
        width--;
    }
    while (count > 0u) {
        count--;
        add_byte(line, digits[count]);
    }
}

void text_number(text_t *line, int64_t number, uint32_t width, char fill)
{
    add_decimal(line, number, 0u, width, fill);
}

void text_thousandths(text_t *line, int64_t number, uint32_t width)
{
    add_decimal(line, number, 3u, width, ' ');
}
