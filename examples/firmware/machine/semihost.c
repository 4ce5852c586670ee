/* semihost.c: see semihost.h. Addresses and integers are both 32 bits here. */
#include "semihost.h"

enum operation {
    OPEN = 0x01,
    WRITE = 0x05,
    READ = 0x06,
    COMMAND_LINE = 0x15,
    EXIT = 0x18
};

enum open_mode { READ_BYTES = 1, WRITE_BYTES = 5 };

/* Reasons of EXIT: the program is done; it failed. */
enum exit_reason { DONE = 0x20026, FAILED = 0x20023 };

static uint32_t address(const void *place)
{
    return (uint32_t)(uintptr_t)place;
}

static int32_t call(uint32_t operation, uint32_t argument)
{
    register uint32_t r0 __asm__("r0") = operation;
    register uint32_t r1 __asm__("r1") = argument;

    __asm__ volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
    return (int32_t)r0;
}

static uint32_t length_of(const char *text)
{
    uint32_t length = 0u;

    while (text[length] != '\0') {
        length++;
    }
    return length;
}

int32_t semihost_open(const char *name, bool writing)
{
    const uint32_t arguments[3] = { address(name), writing ? (uint32_t)WRITE_BYTES : (uint32_t)READ_BYTES, length_of(name) };

    return call(OPEN, address(arguments));
}

uint32_t semihost_read(int32_t file, char *bytes, uint32_t size)
{
    const uint32_t arguments[3] = { (uint32_t)file, address(bytes), size };
    const uint32_t missing = (uint32_t)call(READ, address(arguments));

    return (missing > size) ? 0u : (size - missing);
}

bool semihost_write(int32_t file, const char *bytes, uint32_t size)
{
    const uint32_t arguments[3] = { (uint32_t)file, address(bytes), size };

    return call(WRITE, address(arguments)) == 0;
}

bool semihost_command_line(char *line, uint32_t size)
{
    const uint32_t arguments[2] = { address(line), size };

    return call(COMMAND_LINE, address(arguments)) == 0;
}

void semihost_exit(bool success)
{
    (void)call(EXIT, success ? (uint32_t)DONE : (uint32_t)FAILED);
    for (;;) {
        /* the emulator has ended */
    }
}
