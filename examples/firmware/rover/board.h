/*
 * board.h: all that main.c asks of the board.
 *
 * Your own drivers go behind these functions, in a board.c of yours. The folder
 * "machine", which simulates them, is what to leave out then. Nothing else knows
 * about registers or pins. No function may block, except board_wait.
 */
#ifndef BOARD_H
#define BOARD_H

#include <stdbool.h>
#include <stdint.h>

#include "merestone_guidance.h"

/* Sets the board up: clock, the inputs of mission->holds with the pulls that the
 * mission file names, the receiver's serial line, the drive. The drive is off
 * before this is called (pull the gate of its switch down in hardware), and
 * stays off. Empties the serial buffer. Starts the hardware watchdog. */
void board_start(const mere_mission_t *mission);

/* Sleeps until period_ms after the last return and gives the clock, in ms, which
 * wraps at 2^32. When that moment has passed, returns at once: mere_step sees
 * from the clock that the loop was late. */
uint32_t board_wait(uint32_t period_ms);

/* Takes the next byte from the receiver, false when there is none. Fill a buffer
 * from the serial interrupt; at 115200 baud and a loop of 20 ms it needs 256
 * bytes. If it ever overflows, throw away what is in it, not what comes. */
bool board_receive(char *byte);

/* Level of an input, 0 or 1, as it is. mere_step debounces. */
uint16_t board_level(uint16_t pin);

/* Buttons, true while pressed: reset, start (for missions without a hold-to-run), and
 * begin the route again. A board without one says false. */
bool board_reset_pressed(void);
bool board_start_pressed(void);
bool board_again_pressed(void);

/* Speed over ground from wheel sensors, a magnitude. False when not known:
 * mere_step then reckons with the speed of the leg. */
bool board_speed(uint32_t *speed_mm_s);

/* Where the rover's front points, hundredths of a degree clockwise from the north
 * of the mission's frame, 0 to 35999. False when not known. A compass shows
 * magnetic north: add the declination that the mission header gives. */
bool board_heading(uint16_t *heading_cdeg);

/* Powers the drive or takes its power, with the speed wanted (mm/s) and the rate
 * of turn wanted (hundredths of a degree a second, positive to the right). With
 * power false the switch in the motors' supply must open, whatever else is
 * wanted: setting the motors' speed to 0 is not the same. */
void board_drive(bool power, uint32_t speed_mm_s, int32_t turn_cdeg_s);

/* Feeds the hardware watchdog. Let it cut the drive's supply and reset the
 * processor when it was not fed for two or three turns of the loop. */
void board_feed_watchdog(void);

/* Memory that lasts without power, for the mere_memory_t as it is. Reading gives false
 * when nothing was ever written; writing, when it could not be done, and else it is
 * done on return: what comes after the next step would be too late. Either takes a few
 * milliseconds at most, or the next step comes late and stops the rover.
 *
 * A ferroelectric memory is the simplest: as fast as the bus, and hardly wears. In an
 * electrically erasable one write two places in turn, each with a counter that goes up
 * by one, and read the sound one with the higher counter, so that a power failure in
 * the midst of a write costs the last change and no more. The processor's own flash
 * often stands still for an erase: erase well ahead, while the rover stands. The check
 * word in it finds a torn write: mere_recall refuses what is damaged.
 *
 * The supply of the processor must outlast the write when that of the drive breaks: an
 * emergency stop that takes the board's supply too is forgotten, unless a capacitor
 * carries the board for some milliseconds. */
bool board_memory_read(mere_memory_t *memory);
bool board_memory_write(const mere_memory_t *memory);

/* Writes a text where the operator or the log reads it. */
void board_print(const char *text);

#endif /* BOARD_H */
