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
 * stays off. Starts the hardware watchdog. */
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

/* Buttons, true while pressed. A board without one says false. */
bool board_reset_pressed(void);
bool board_start_pressed(void);

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

/* Writes a text where the operator or the log reads it. */
void board_print(const char *text);

#endif /* BOARD_H */
