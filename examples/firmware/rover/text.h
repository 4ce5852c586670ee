/*
 * text.h: puts text and numbers together in a buffer, without the C library's
 * printf, which is large and brings in floating point.
 */
#ifndef TEXT_H
#define TEXT_H

#include <stdint.h>

enum text_limit { TEXT_LONGEST = 320 };

/* A line that is being put together. Zeros to begin with; what does not fit is
 * left out, and text always ends in a zero byte. */
typedef struct {
    char text[TEXT_LONGEST];
    uint32_t length;
} text_t;

void text_add(text_t *line, const char *words);

/* A number, filled up with fill to a least width. */
void text_number(text_t *line, int64_t number, uint32_t width, char fill);

/* A number of thousandths with three decimals: 1234 becomes 1.234. */
void text_thousandths(text_t *line, int64_t number, uint32_t width);

#endif /* TEXT_H */
