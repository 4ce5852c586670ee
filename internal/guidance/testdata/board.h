/*
 * What the test programs need of an emulated board: a way to print and a way to
 * end. One of board_m3.c and board_rv32.c provides it, and the start-up code that
 * calls main. No C library.
 */
#ifndef GUIDANCE_BOARD_H
#define GUIDANCE_BOARD_H

#include <stdint.h>

int main(void);
void board_print(const char *text);
void board_exit(int status);

/* Prints a number in hexadecimal, or decimal. */
static inline void board_print_hex(uint64_t value)
{
    char text[17];
    int i;

    for (i = 15; i >= 0; i--) {
        text[i] = "0123456789abcdef"[value & 15u];
        value >>= 4;
    }
    text[16] = '\0';
    board_print(text);
}

static inline void board_print_decimal(uint32_t value)
{
    char text[11];
    int i = 10;

    text[10] = '\0';
    do {
        i--;
        text[i] = (char)('0' + (int)(value % 10u));
        value /= 10u;
    } while (value != 0u);
    board_print(&text[i]);
}

#endif
