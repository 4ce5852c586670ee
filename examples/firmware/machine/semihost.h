/*
 * semihost.h: files and messages of the computer that runs the emulator, by the
 * published semihosting interface of the processor's makers: a breakpoint with the
 * number of the operation in r0 and the address of its arguments in r1. On a board
 * without a debugger such a breakpoint is a fault: leave this file out there.
 */
#ifndef SEMIHOST_H
#define SEMIHOST_H

#include <stdbool.h>
#include <stdint.h>

/* Opens a file of the host, for reading or for writing anew; below 0 when it
 * cannot be opened. The name ":tt" is the emulator's console. */
int32_t semihost_open(const char *name, bool writing);

/* Gives the number of bytes read, 0 at the end of the file. */
uint32_t semihost_read(int32_t file, char *bytes, uint32_t size);

/* True when all was written. */
bool semihost_write(int32_t file, const char *bytes, uint32_t size);

/* The words that the program was started with, in one line. */
bool semihost_command_line(char *line, uint32_t size);

/* Ends the emulator, with status 0 or 1. Does not return. */
void semihost_exit(bool success);

#endif /* SEMIHOST_H */
