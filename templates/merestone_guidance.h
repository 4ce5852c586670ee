/*
 * merestone_guidance.h: guidance of a small ground rover along surveyed legs,
 * inside a geofence, with hold circuits, from satellite fixes.
 *
 * This file is the same for every mission. The tables that it reads are in the
 * generated <mission>_mission.h, which includes it. Use:
 *
 *     static mere_state_t state;
 *     static mere_input_t input;
 *     static mere_output_t output;
 *     mere_start(&NAME_mission, &state, 0u);
 *     mere_recall(&NAME_mission, &state, &memory, today);    where there is such a memory
 *     mere_set_shift(&NAME_mission, &state, &NAME_shift);    where the mission needs one
 *     for each turn of the loop, at least every rover.loop_ms:
 *         fill in input: clock, fix if a new one came, pins, speed, heading
 *         mere_step(&NAME_mission, &state, &input, &output);
 *         power the drive if and only if output.drive_enable
 *         steer towards output.bearing_cdeg, no faster than output.speed_limit_mm_s
 *         if output.memory_due: mere_remember, and store what it gives
 *
 * CONTENTS
 *
 *   1. Limits: what the tables may hold, and what is asked of the compiler
 *   2. Words: qualities of a fix, kinds of hold, phases, reasons, events
 *   3. Tables: a mission, as its generated header fills it in
 *   4. Input, output, state: what a step is given, returns and keeps
 *   5. Rules: states, starting, holds, stopping, fence and line, fixes, time
 *   6. Functions: all that a firmware calls, with what they promise
 *        mere_start           begins a mission at a leg, or another lap of it
 *        mere_set_shift       sets today's site shift
 *        mere_clear_shift     forgets it
 *        mere_remember        what is worth keeping through a power cycle
 *        mere_recall          takes it back
 *        mere_step            one turn of the loop: may the drive be powered, where to steer
 *        mere_reason_text     a reason in words
 *        mere_quality_from_gga  quality of a fix from a sentence's digit
 *        mere_local_from_fix  latitude and longitude to east and north
 *        mere_shifted         a point with the site shift applied
 *        mere_track           a point along and across a leg
 *        mere_arrival         whether the end of a leg is reached, or missed
 *        mere_steer           bearing to steer along a leg
 *        mere_bearing         bearing of a vector
 *        mere_turn            how far to turn, the short way round
 *        mere_stopping_mm     way to rest, at most
 *        mere_cut_mm          distance before a waypoint at which to cut the drive
 *        mere_fence_margin    whether a point is allowed, and how far from the fence
 *   7. Numbers (private): products, ratios, lengths
 *   8. Legs and stopping (private): within a tolerance, ways travelled, coasts
 *   9. Fence (private): its search structure, and how it is read
 *  10. Hold circuits (private): debouncing, channels, latching, reset
 *  11. Parts of the step (private): seal, beginning, time, fix, reasons, transitions, output
 *  12. Definitions: of the functions, and how they keep what they promise
 *
 * What is marked private is for this file alone and may change between versions.
 *
 * UNITS
 *
 * They are in the names: mm, um (micrometres), ms, mm_s (millimetres a second), cdeg
 * (0.01 degrees), ndeg (1e-9 degrees). Latitudes and longitudes are WGS 84, north
 * and east positive. east_mm and north_mm are in the site's local frame; a bearing is
 * 0 to 35999 cdeg clockwise from that frame's north, not from magnetic north. A name
 * in qN is a number in Q format: 2^N stands for 1.
 *
 * WHAT THE CALLER DOES
 *
 * - One context. State, input and output belong to one task: no interrupt and no
 *   second task writes them, and mere_step is not called while it runs.
 * - A snapshot. The clock is read first, then the pins and all else, right before the call,
 *   and drive_enable is put on its pin right after it: all that takes no longer than a
 *   millisecond, which is in the stated reaction. What an interrupt receives is copied
 *   with the interrupt masked, or handed over whole.
 * - How often. At least every rover.loop_ms, fix or no fix; a call that comes later stops
 *   the rover. Call it at half of that, to leave room for a turn that takes longer.
 * - Units and ranges are at the members of mere_input_t. No value is dangerous to the
 *   arithmetic; a wrong one is to the machine: hold levels in the order of the hold table,
 *   the heading from the frame's north (the mission's header has the declination),
 *   speeds over ground and measured, or else speed_known false.
 * - A new fix is one that holds for another instant than the last. fix_age_ms is how long ago
 *   that was, rounded up, where it can be told (from the sentence's time against the board's
 *   clock): a receiver, or a buffer, that is behind looks fresh else. 0 where it cannot.
 * - The watchdog is independent of the processor's clock, cuts the drive by itself, and is
 *   fed once a turn, after the drive was set, never from an interrupt.
 * - The output is off in reset and while the program starts: pull its gate down in hardware.
 * - memory_due: store what mere_remember gives before the next step. mere_recall takes it
 *   back after power-up.
 *
 * CAUTIONS
 *
 * - No conformity is claimed with ISO 12100, ISO 13849, ISO 13850, IEC 60204-1
 *   or any other standard; terms are used as those standards use them. A risk
 *   assessment of the whole machine is the user's, and so are local codes.
 * - This is software on one processor. It does not replace an emergency stop
 *   that takes the motors' current away without it.
 * - A processor that hangs leaves its outputs as they are. Let a hardware
 *   watchdog, fed only after mere_step returned in time, cut the drive.
 * - A satellite position may be wrong although it is called fixed. The fence
 *   check is as good as the position is.
 * - If speed_known is false the speed of the leg is assumed. A rover that runs
 *   faster than that stops later than computed, and a receiver that stands still while
 *   the rover moves is not noticed.
 * - A memory that a power cycle has lost cannot tell of a fault that it held. Then the
 *   start-up test is all that finds a welded contact again.
 * - The site's marks and today's fixes must share a datum: occupy the control
 *   marks and set the site shift (mere_set_shift) before driving. The board knows
 *   of which plan a shift is, and not what day it is: see mere_site_shift_t.
 *
 * ARITHMETIC
 *
 * Integers only: no floating point, no heap, no recursion, no global variables; every
 * loop has a bound that is stated. No C library either, but for memset and memcpy,
 * which a compiler may call to clear or copy a struct. Needs two's complement, an
 * int of 32 bits and a right shift that keeps the sign; section "Limits" checks all
 * three at compile time. The header's functions are twins, bit for bit, of the Go
 * package that compiled the mission.
 *
 * Comments that begin with an @ are for the analyser of 'merestone prove': a "loop
 * variant" becomes less in each round, and ends the loop before it is negative.
 *
 * "Instructions" in the comments are those counted on an emulated 32-bit
 * Cortex-M3 board with arm-none-eabi-gcc 12.2 -O2, call and return included: the
 * most that any of some 20 000 inputs took that were chosen to be difficult. What
 * depends on the mission is worked out for each, and stands in its own header, under
 * MEMORY AND TIME; "typically" is for a fence of 64 vertices and 4 obstacles and 4
 * hold contacts. In double precision a distance took 8 400 and a bearing 12 500. So
 * compiled, all that a firmware calls takes 12.1 kB of code (7.9 kB with -Os) and 0.7 kB of
 * constants, no memory but the state's 176 bytes, and of the stack 280 bytes at most
 * (330 with -Os).
 *
 * MISRA C:2012, deliberate departures (found with cppcheck's addon, rules 9.x by
 * reading):
 *
 * - Rules 2.3, 2.4: a header for all missions has types and tags that one mission
 *   does not use, and its checks at compile time are types that nothing uses.
 * - Rule 8.9 (advisory): the constants of one kind stand together at file scope
 *   although some are used in one function only.
 * - Rule 10.1: signed numbers are shifted right, which rounds towards minus infinity
 *   on every compiler that section "Limits" lets pass; the error bounds count on it.
 * - Rule 10.4: limits, reasons and events are enumeration constants, so that they
 *   may stand in array sizes and initialisers; all are positive, and they are
 *   combined with unsigned numbers.
 * - Rule 11.9: null pointers are compared with 0, since no C library is included.
 * - Rule 15.5 (advisory): refusals leave a function at the top, so that the rest
 *   needs no further nesting.
 */
#ifndef MERESTONE_GUIDANCE_H
#define MERESTONE_GUIDANCE_H

#include <stdbool.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* ------------------------------------------------------------------------
 * 1. Limits
 *
 * What the tables may hold. The mission compiler refuses missions beyond them,
 * and the overflow arguments below rest on them. Then what is asked of the C
 * compiler.
 * ------------------------------------------------------------------------ */

enum mere_limit {
    MERE_RECORD_FORMAT = 3,            /* layout of mere_record_t and of all tables */
    MERE_MAX_HOLDS = 16,               /* entries of the hold table */
    MERE_MAX_COORDINATE_MM = 20000000, /* of any mark, east or north */
    MERE_MAX_DOMAIN_MM = 22000000,     /* of any converted fix, east or north */
    MERE_MAX_SHIFT_MM = 60000,         /* of a site shift, east or north */
    MERE_MAX_ROTATION_Q30 = 18739379,  /* sine of the greatest rotation, 1 degree */
    MERE_MAX_SPEED_MM_S = 20000,       /* of a leg; a measured speed is cut off at 65535 */
    MERE_PUSHED_MM_S = 2000,           /* of a rover that is pushed or carried; common practice, no source */
    MERE_MAX_COAST_UNIT_MM = 1024      /* of the coasts of legs */
};

/* A negative array size stops the compilation when a condition does not hold. */
typedef char mere_check_int[(sizeof(int) >= 4u) ? 1 : -1];
typedef char mere_check_complement[((-1 & 3) == 3) ? 1 : -1];
typedef char mere_check_shift[((-3 >> 1) == -2) ? 1 : -1];

/* ------------------------------------------------------------------------
 * 2. Words
 * ------------------------------------------------------------------------ */

/* How good a fix is; more is better. From a sentence's digit: mere_quality_from_gga. */
typedef enum {
    MERE_QUALITY_NONE = 0,
    MERE_QUALITY_STANDALONE = 1,     /* one receiver alone */
    MERE_QUALITY_DIFFERENTIAL = 2,   /* code corrections */
    MERE_QUALITY_FLOAT = 3,          /* carrier phase, ambiguities not resolved */
    MERE_QUALITY_FIXED = 4           /* carrier phase, ambiguities resolved */
} mere_quality_t;

typedef enum {
    MERE_HOLD_TO_RUN = 0,            /* released it stops, pressed anew it starts */
    MERE_EMERGENCY_STOP = 1,
    MERE_INTERLOCK = 2               /* anything else that must permit running, such as a gate's switch */
} mere_hold_kind_t;

/* Where a mission stands; section "Rules" has what leads from one to another. */
typedef enum {
    MERE_STOPPED = 0,                /* something is against driving */
    MERE_WAITING = 1,                /* nothing is, but for the operator's act */
    MERE_DRIVING = 2,                /* on a leg, with power */
    MERE_COASTING = 3,               /* power is cut before a waypoint, until the rover was seen at rest */
    MERE_DWELLING = 4,               /* at rest at a waypoint */
    MERE_FINISHED = 5                /* at rest at the last waypoint */
} mere_phase_t;

/* How it stands with the end of a leg. */
typedef enum {
    MERE_UNDER_WAY = 0,
    MERE_ARRIVED = 1,                /* within tolerance, or passed abeam within it */
    MERE_MISSED = 2                  /* passed abeam outside the tolerance */
} mere_arrival_t;

/* Reasons against driving; bits, the gravest lowest. */
enum mere_reason {
    MERE_BAD_MISSION = 0x0001,       /* not started, or other tables than those it was started with */
    MERE_BAD_STATE = 0x0002,         /* the state was changed from outside, or damaged */
    MERE_EMERGENCY = 0x0004,         /* an emergency stop is in its stop state */
    MERE_CHANNELS_DIFFER = 0x0008,   /* the channels of a circuit did, for too long or at a stop */
    MERE_INTERLOCK_OPEN = 0x0010,    /* an interlock is in its stop state */
    MERE_RESET_NEEDED = 0x0020,      /* a latched stop or a channel fault was not reset */
    MERE_UNTRIED = 0x0040,           /* a contact was not tried since power-up: see untried */
    MERE_RELEASED = 0x0080,          /* a hold-to-run is released */
    MERE_LET_GO_FIRST = 0x0100,      /* a hold-to-run is pressed, and was not let go since the last drive */
    MERE_LATE_STEP = 0x0200,         /* mere_step was called later than loop_ms */
    MERE_NO_SHIFT = 0x0400,          /* shift_needed, and no site shift was set: no place below can be trusted */
    MERE_OUTSIDE_FENCE = 0x0800,     /* outside the boundary or in an obstacle */
    MERE_FENCE_NEAR = 0x1000,        /* the margin is less than allowance and stopping distance */
    MERE_OUT_OF_DOMAIN = 0x2000,     /* the last fix is nowhere near the site */
    MERE_NO_FIX = 0x4000,            /* no good fix since the start, or since the site shift was set */
    MERE_STALE_FIX = 0x8000,         /* no fix for longer than stale_after_ms, or only such as came too late */
    MERE_POOR_FIX = 0x10000,         /* no good fix for as long, but poor ones */
    MERE_FIX_JUMPED = 0x20000,       /* further than the rover can move, within the last stale_after_ms */
    MERE_FIX_STANDS = 0x40000,       /* it stands still while the wheels turn */
    MERE_OFF_LINE = 0x80000,         /* further from the leg's line than allowed, or behind its start */
    MERE_WRONG_WAY = 0x100000,       /* moving away from the leg's end */
    MERE_PASSED_BY = 0x200000,       /* abeam of the waypoint or beyond, outside its tolerance */
    MERE_NOT_AT_START = 0x400000,    /* outside the tolerance of the leg's first waypoint */
    MERE_NOT_AT_REST = 0x800000      /* moved away from the waypoint at which it is to rest */
};

enum mere_reason_count {
    MERE_REASON_COUNT = 24
};

/* What happened in a step; bits. */
enum mere_event {
    MERE_EVENT_STARTED = 0x01,       /* by an act of the operator */
    MERE_EVENT_START_REFUSED = 0x02, /* an act that does nothing, or a press of the start button that was none: it is lost */
    MERE_EVENT_STOPPED = 0x04,       /* by the reasons in stopped_by */
    MERE_EVENT_CUT = 0x08,           /* the drive is cut, to roll out to the waypoint */
    MERE_EVENT_ARRIVED = 0x10,       /* at the end of a leg; where it stops, once seen at rest there */
    MERE_EVENT_MISSED = 0x20,        /* stopped at or beyond a waypoint, outside its tolerance */
    MERE_EVENT_SHORT = 0x40,         /* at rest short of the tolerance: the drive comes on again */
    MERE_EVENT_DEPARTED = 0x80,      /* after a dwell: the drive comes on without an act */
    MERE_EVENT_FINISHED = 0x100,     /* arrived at the last waypoint */
    MERE_EVENT_RESET = 0x200,        /* latched stops and channel faults are reset */
    MERE_EVENT_RESET_REFUSED = 0x400,/* a press of the reset button that does nothing, release_ms or later after another */
    MERE_EVENT_TRIED = 0x800         /* a contact has been seen in stop and in run: see untried for the others */
};

enum mere_pass {
    MERE_PASS_THROUGH = 0xFFFF       /* dwell of a waypoint where the rover does not stop */
};

/* ------------------------------------------------------------------------
 * 3. Tables
 *
 * Of one mission, filled in by the generated <mission>_mission.h in the order of
 * the members. The ranges given are those that the mission compiler keeps to;
 * the board does not test them again. A number without a range may be any of its type;
 * counts and indices are true of the tables that they are about.
 * ------------------------------------------------------------------------ */

/* What this firmware carries, so that a tool can find it in an image of the
 * flash. Bytes only: the same for either byte order. Texts end in at least one
 * zero byte and are filled up with zeros. */
typedef struct {
    char magic[16];                  /* "merestone-image" */
    uint8_t format;                  /* MERE_RECORD_FORMAT */
    uint8_t spare[3];                /* 0 */
    uint8_t digest[32];              /* SHA-256 of the resolved plan */
    char mission[64];                /* name of the mission */
    char tool[32];                   /* version of the compiler */
} mere_record_t;

/* Conversion from latitude and longitude to east and north, for fixes of its
 * domain: from the southern to the northern limit and from the western to the
 * eastern, limits included. Nowhere in it is east or north beyond
 * MERE_MAX_DOMAIN_MM. */
typedef struct {
    int64_t origin_latitude_ndeg;    /* of the local frame, where east and north are 0 */
    int64_t origin_longitude_ndeg;
    int64_t south_ndeg;              /* southern limit of the domain */
    int64_t west_ndeg;               /* western limit */
    uint32_t latitude_span_ndeg;     /* northern less southern limit, < 2^31 */
    uint32_t longitude_span_ndeg;    /* eastern less western limit, < 2^31 */
    int32_t south_from_origin_ndeg;  /* south_ndeg less the origin's latitude */
    int32_t west_from_origin_ndeg;   /* west_ndeg less the origin's longitude */
    int32_t east[6];                 /* coefficients, see section "Definitions", mere_local_from_fix */
    int32_t north[7];
    uint8_t east_shift;              /* scale of east[]: 2^-(32 + east_shift) mm, 1 to 31 */
    uint8_t north_shift;             /* scale of north[], likewise */
    uint16_t degree;                 /* of the polynomial, for the reader only */
    uint32_t bound_um;               /* proved bound of the position error */
} mere_conversion_t;

/* What is known of the rover and its receiver. latency_ms, stale_after_ms, loop_ms
 * and output_delay_ms add up to no more than 65535. */
typedef struct {
    uint32_t coast_top_linear_q16;   /* longest coast from coast_top_mm_s / that speed */
    uint32_t coast_top_square_q32;   /* the same / that speed^2, <= 2^30 */
    uint16_t coast_top_mm_s;         /* the highest speed of a leg or of a measured coast, at least 1 */
    uint16_t coast_unit_mm;          /* of the coasts of the legs, 1 to MERE_MAX_COAST_UNIT_MM */
    uint16_t dwell_unit_ms;          /* of the dwells, at least 1 */
    uint16_t latency_ms;             /* from the instant a fix holds for to mere_step seeing it, usually */
    uint16_t fix_interval_ms;        /* between two fixes, 1 to stale_after_ms; for the reader only */
    uint16_t loop_ms;                /* longest time between two calls of mere_step, at least 1 */
    uint16_t output_delay_ms;        /* from drive_enable false to the drive without power */
    uint16_t stale_after_ms;         /* a good fix older than this stops the drive */
    uint16_t settle_ms;              /* from the cut to rest, at most */
    uint16_t reset_press_ms;         /* a reset or start counts from this length of press on, <= 60000 */
    uint16_t release_ms;             /* a contact counts as seen in stop from this long on, <= 60000 */
    uint16_t look_ahead_mm;          /* steer at the point of the leg this far ahead, at least 1 */
    uint16_t front_mm;               /* from the antenna to the front of the body, 0 when ahead of it */
    uint16_t half_width_mm;          /* from the antenna to the wider side of the body */
    uint16_t back_mm;                /* from the antenna to the back of the body, likewise */
    uint16_t cross_track_mm;         /* greatest distance from a leg's line allowed, once it is joined */
    uint16_t retreat_mm;             /* furthest back along a leg from the foremost place on it */
    uint16_t jump_mm;                /* two fixes of a rover at rest differ by no more */
    uint16_t stands_mm;              /* rolled so far, a fix that moved by less than half of it stands still */
    uint16_t max_shift_mm;           /* greatest site shift accepted, east or north, <= MERE_MAX_SHIFT_MM */
    uint8_t required_quality;        /* mere_quality_t, at least; 1 to 4 */
    uint8_t shift_needed;            /* 1: no start without a site shift, zero being one; else 0 */
} mere_rover_t;

/* One waypoint, and the leg that leaves it for the waypoint of the next entry. A
 * mission of n legs has n + 1 entries: the last is the last waypoint alone, with the
 * members of the leg 0, and no leg. Two waypoints in a row differ. */
typedef struct {
    int32_t east_mm;                 /* of the waypoint, up to MERE_MAX_COORDINATE_MM */
    int32_t north_mm;
    int32_t unit_east_q30;           /* direction of the leg, length 1; -2^30 to 2^30 */
    int32_t unit_north_q30;
    uint16_t tolerance_mm;           /* arrival tolerance of the waypoint */
    uint16_t dwell;                  /* at the waypoint, in dwell_unit_ms; MERE_PASS_THROUGH: no stop, never the last */
    uint16_t speed_mm_s;             /* of the leg, 1 to MERE_MAX_SPEED_MM_S */
    uint16_t coast;                  /* expected coast from speed_mm_s on the leg's slope, in coast_unit_mm */
    uint16_t coast_bound;            /* longest coast from speed_mm_s, likewise */
    uint16_t join_mm;                /* cross_track_mm holds from here along the leg on, ... */
    uint16_t join_cross_mm;          /* ... before it this, not less than cross_track_mm */
    uint16_t fence_allowance_mm;     /* position error: to remain between body and fence at rest */
} mere_leg_t;

/* One edge of a ring, from its vertex to the vertex of the next entry. A ring
 * of n vertices has n + 1 entries: the last repeats the first vertex, has the
 * direction (0, 0), and is no edge. The boundary runs counter-clockwise, obstacles
 * clockwise: the allowed side is on the left of every edge. */
typedef struct {
    int32_t east_mm;                 /* of the vertex, up to MERE_MAX_COORDINATE_MM */
    int32_t north_mm;
    int32_t unit_east_q30;           /* direction, length 1; -2^30 to 2^30 */
    int32_t unit_north_q30;
} mere_edge_t;

/* A round obstacle. */
typedef struct {
    int32_t east_mm;                 /* of the centre, up to MERE_MAX_COORDINATE_MM */
    int32_t north_mm;
    int32_t radius_mm;               /* 0 to MERE_MAX_COORDINATE_MM */
} mere_circle_t;

/* The fence: edges, round obstacles, and the search structure over them, which
 * section "Fence" explains. */
typedef struct {
    const mere_edge_t *edges;
    const mere_circle_t *circles;    /* a null pointer when circle_count is 0 */
    const uint16_t *nodes;
    const uint16_t *lists;
    int32_t west_mm;                 /* south-west corner of the root square */
    int32_t south_mm;
    uint16_t edge_count;             /* entries, the repeated vertices included, <= 16383 */
    uint16_t circle_count;           /* <= 16383 */
    uint32_t node_count;             /* words of nodes[], <= 4 * 32768 */
    uint32_t list_count;             /* words of lists[] */
    uint8_t root_log2;               /* side of the root square: 2^root_log2 mm, 1 to 26 */
    uint8_t list_log2;               /* lists begin at multiples of 2^list_log2 words, <= 8 */
    uint16_t margin_unit_mm;         /* unit of the margins kept in nodes[], at least 1 */
    uint16_t exact_within_mm;        /* a distance up to this ... */
    uint16_t slack_mm;               /* ... is told as a margin at most this much too small */
    uint16_t limit_mm;               /* distances up to this at most a quarter too small; >= exact_within_mm */
} mere_fence_t;

/* One contact of a hold circuit. The second channel of a two-channel circuit
 * is the entry after the first, and the first has an even index. Both channels
 * have the same kind and latched. */
typedef struct {
    uint16_t pin;                    /* number of the board's input, for the user's code */
    uint16_t debounce_ms;            /* it counts as run once it reads so without interruption, <= 60000 */
    uint16_t filter_ms;              /* it counts as stop once it reads so for longer, <= 60000; 0: at once */
    uint16_t discrepancy_ms;         /* of the first of two channels, 1 to 60000; else 0 */
    uint8_t kind;                    /* mere_hold_kind_t */
    uint8_t run_level;               /* level of the pin that permits running: 0 or 1 */
    uint8_t latched;                 /* 1: after a stop a reset is needed, as always for an emergency stop */
    uint8_t two_channels;            /* 1: the next entry is the second channel */
} mere_hold_t;

/* All of a mission. */
typedef struct {
    mere_record_t record;
    mere_conversion_t conversion;
    mere_rover_t rover;
    const mere_leg_t *legs;
    mere_fence_t fence;
    const mere_hold_t *holds;        /* a null pointer when hold_count is 0 */
    uint16_t leg_count;              /* at least 1 */
    uint8_t hold_count;              /* up to MERE_MAX_HOLDS */
    uint8_t closed;                  /* 1: the last leg ends at the first waypoint; for the reader only */
} mere_mission_t;

/* ------------------------------------------------------------------------
 * 4. Input, output, state
 * ------------------------------------------------------------------------ */

/* A place in the local frame. */
typedef struct {
    int32_t east_mm;
    int32_t north_mm;
} mere_point_t;

/* The site shift of one day, as the shift command writes it into a header of its
 * own. A firmware that knows the date compares day with it: the shift of another day
 * is that of another set-up of the base. */
typedef struct {
    uint8_t digest[32];              /* of the plan that it is for: that of its mere_record_t */
    uint32_t day;                    /* of the occupations: 20260510 for the 10th of May 2026 */
    int32_t east_mm;                 /* to be added to today's fixes */
    int32_t north_mm;
    int32_t sine_q30;                /* of the rotation, positive from east towards north; 0 for none */
} mere_site_shift_t;

/* What turns and moves today's fixes onto the mission's marks. mere_set_shift makes
 * it. All zeros while none was set. */
typedef struct {
    int32_t east_mm;                 /* up to MERE_MAX_SHIFT_MM */
    int32_t north_mm;
    int32_t sine_q30;                /* of the rotation, positive from east towards north */
    int32_t cosine_q30;              /* of the rotation; 0 while none was set */
} mere_shift_t;

/* A place with regard to a leg. */
typedef struct {
    int32_t along_mm;                /* from the start, towards the end; negative before the start */
    int32_t cross_mm;                /* from the line, positive to the right */
    int32_t to_go_mm;                /* along the leg to its end; negative beyond it */
} mere_track_t;

/* What mere_step is given: one snapshot, taken right before the call. Clear it once,
 * so that nothing in it is undefined; a member "with" a flag is not used while the
 * flag is false. No value is dangerous to the arithmetic. */
typedef struct {
    uint32_t time_ms;                /* a clock that runs on and wraps at 2^32 */
    int64_t latitude_ndeg;           /* with fix_new: of the antenna; -90e9 to 90e9 */
    int64_t longitude_ndeg;          /* with fix_new: -180e9 to 180e9 */
    uint32_t speed_mm_s;             /* with speed_known: over ground, magnitude; above 65535 as 65535 */
    uint32_t fix_age_ms;             /* with fix_new: since the instant it holds for; less than latency_ms counts as that */
    uint16_t heading_cdeg;           /* with heading_known: of the rover, not magnetic; above 35999 as not known */
    uint16_t hold_levels;            /* bit i: level of the pin of holds[i], not debounced */
    uint8_t quality;                 /* with fix_new: mere_quality_t; above 4 is none */
    bool fix_new;                    /* a fix came since the last step: not one repeated */
    bool speed_known;                /* measured, not commanded; if not, the leg's speed is assumed */
    bool heading_known;
    bool reset_request;              /* the reset button is pressed, not debounced */
    bool start_request;              /* the start button is, likewise; only without hold-to-run circuits */
} mere_input_t;

/* What mere_step returns; every call writes all of it. */
typedef struct {
    bool drive_enable;               /* power the drive if and only if true */
    bool located;                    /* at, track, margin_mm and bearing_cdeg hold, as of the last good fix */
    bool turn_known;                 /* turn_cdeg holds, if located */
    bool memory_due;                 /* what mere_remember gives has changed in this step: store it */
    mere_phase_t phase;
    uint32_t reasons;                /* against driving, now: bits of mere_reason */
    uint32_t stopped_by;             /* reasons at the last stop since mere_start, or 0 */
    uint32_t events;                 /* in this step: bits of mere_event */
    mere_point_t at;                 /* the fix in the local frame, site shift applied */
    mere_track_t track;              /* the same with regard to the leg */
    int32_t margin_mm;               /* to the fence, as by mere_fence_margin: -1 when outside */
    uint32_t stopping_mm;            /* from where the last fix was to rest, at most, as by mere_stopping_mm */
    uint32_t fix_age_ms;             /* of the last good fix, less latency_ms; 2^32 - 1 before the first */
    int32_t turn_cdeg;               /* from heading to bearing, -18000 to 17999, positive to the right */
    uint16_t bearing_cdeg;           /* to steer */
    uint16_t speed_limit_mm_s;       /* 0 while the drive is off */
    uint16_t leg;                    /* being driven, or to be driven next, from 0; the last one when FINISHED */
    uint16_t holds_run;              /* bit i: hold i is in run, debounced */
    uint16_t untried;                /* bit i: hold i is still to be seen in stop, and then in run */
} mere_output_t;

/* What mere_step keeps between calls. Made by mere_start; of its members only
 * shift is the user's business, and that only to be read. A state of zeros is one
 * that was not started: it never drives. */
typedef struct {
    uint32_t mission_word;           /* of the mission it was started with, see mere_mission_word */
    uint32_t seal;                   /* over what must not change by itself, see mere_seal */
    uint32_t time_ms;                /* of the last step */
    uint32_t fix_age_ms;             /* of the last good fix, less latency_ms; stays at its limit */
    uint32_t told_age_ms;            /* of the last good fix that told its age, all of it; likewise */
    uint32_t timer_ms;               /* coasting: since the cut; dwelling: still to stay */
    uint32_t rolled_um;              /* since the fix was at rolled_from, as far as the speed was known */
    mere_shift_t shift;              /* today's; none before the first mere_set_shift */
    mere_point_t at;                 /* of the last good fix, shifted */
    mere_point_t rolled_from;
    mere_track_t track;              /* of at, on the leg */
    int32_t foremost_mm;             /* greatest along_mm on this leg since it last drove on */
    int32_t margin_mm;               /* of at */
    uint32_t stopped_by;             /* reasons at the last stop */
    uint16_t leg;                    /* being driven, or next, from 0 */
    uint16_t leg_bearing_cdeg;       /* of that leg */
    uint16_t bearing_cdeg;           /* to steer, from at */
    uint16_t jumped_ms;              /* until the last jump of a fix is over */
    uint16_t flags;                  /* MERE_FLAG_TIMED and the others */
    uint16_t holds_all;              /* from the hold table: bit i: there is hold i ... */
    uint16_t holds_level;            /* ... and runs at level 1 */
    uint16_t holds_to_run;           /* ... and is a hold-to-run */
    uint16_t holds_emergency;        /* ... and is an emergency stop */
    uint16_t holds_run;              /* bit i: hold i is in run, debounced */
    uint16_t holds_read;             /* bit i: it read run in the last step */
    uint16_t filtering;              /* bit i: it is in run, and count_ms[i] is not 0 */
    uint16_t opened;                 /* bit i: read stop for release_ms since the last drive, act or late step */
    uint16_t tried;                  /* bit i: it was seen in stop, and then in run, since power-up */
    uint16_t latched;                /* bit i: hold i stopped and was not reset */
    uint16_t reset_press_ms;         /* see mere_press */
    uint16_t start_press_ms;
    uint16_t reset_let_go_ms;        /* of a press that is spent */
    uint16_t start_let_go_ms;
    uint16_t count_ms[MERE_MAX_HOLDS];       /* see mere_contact */
    uint16_t differ_ms[MERE_MAX_HOLDS / 2];  /* channels 2 i and 2 i + 1 */
    uint8_t faults;                  /* bit i: channels 2 i and 2 i + 1 differed when they must not */
    uint8_t parted;                  /* bit i: one of them has been in stop alone since both were in run */
    uint8_t both_stopped;            /* bit i: both have been in stop together since */
    uint8_t look;                    /* coasting: what the fix before showed of the rest, see mere_look */
    uint8_t phase;                   /* mere_phase_t */
    uint8_t format;                  /* MERE_RECORD_FORMAT once started */
} mere_state_t;

typedef char mere_check_state[(sizeof(mere_state_t) <= 176u) ? 1 : -1];

/* How far a mission has come on its leg. */
typedef enum {
    MERE_NOT_BEGUN = 0,              /* the rover is to stand at the start of the leg */
    MERE_BEGUN = 1,                  /* it may go on from anywhere on the leg */
    MERE_ENDED = 2                   /* the last leg was driven to its end: FINISHED */
} mere_progress_t;

/* What is worth keeping through a power cycle, in memory that survives it: made by
 * mere_remember, taken back by mere_recall. What a firmware stores are these 20 bytes
 * as they are. */
typedef struct {
    uint32_t mission_word;           /* of the plan */
    uint32_t day;                    /* on which the holds were tried, as the firmware counts days; 0: not known */
    uint16_t leg;                    /* being driven, or to be driven next */
    uint16_t latched;                /* bit i: hold i stopped and was not reset */
    uint16_t tried;                  /* bit i: hold i was seen in stop, and then in run */
    uint8_t faults;                  /* bit i: channels 2 i and 2 i + 1 differed when they must not */
    uint8_t progress;                /* mere_progress_t */
    uint32_t check;                  /* over the others, see mere_memory_check */
} mere_memory_t;

/* ------------------------------------------------------------------------
 * 5. Rules
 *
 * What mere_step goes by: it takes the snapshot, asks what is against driving, moves
 * the state on, and writes the output. The drive is on in one state alone, DRIVING,
 * and there only in a step with no reason against it.
 *
 *  state      leaves when                                            to
 *  ---------  -----------------------------------------------------  --------
 *  STOPPED    no reason against driving is left                      WAITING
 *  WAITING    a reason appears (a hold-to-run that is released, or   STOPPED
 *             to be let go first, is none here)
 *             the operator starts (a dwell anew: DWELLING)           DRIVING
 *  DRIVING    any reason                                             STOPPED
 *             the end of a leg where it does not stop: the next leg  DRIVING
 *             near the end of a leg where it stops: the cut          COASTING
 *  COASTING   any reason; at rest at or beyond the mark, outside     STOPPED
 *             the tolerance: MISSED
 *             at rest before the mark, outside it: SHORT             DRIVING
 *             at rest within the tolerance, at the last waypoint     FINISHED
 *             at rest within the tolerance, elsewhere                DWELLING
 *  DWELLING   any reason, of the next leg                            STOPPED
 *             dwelt: the next leg                                    DRIVING
 *  FINISHED   mere_start only
 *
 * Starting. No unexpected start-up (ISO 12100, IEC 60204-1): after power-up, and
 * after every stop whatever its reason, the drive comes on by an act of the
 * operator alone, never because a fix returned or a hold closed. The act is
 * - with hold-to-run circuits: pressing them anew, that is all of them going from
 *   released to pressed (debounced), at a moment when nothing else is against it.
 *   Every contact of theirs must have been let go for release_ms since the drive was
 *   last on, and since the last act: a wire that opens for less starts nothing. A single
 *   contact that opens for longer, and closes again, cannot be told from a hand: two
 *   contacts can, since a wire of one of them is none;
 * - without: start_request, pressed anew for reset_press_ms.
 * An act at a moment when something is against it is lost, event START_REFUSED; so is
 * one in the step of a reset, or of a late step, or while a stop filter counts. The two
 * starts that need no act are parts of the mission: the departure after a dwell, and
 * going on when the rover came to rest short; neither comes while a stop filter counts.
 * The operator has kept the hold-to-run pressed throughout.
 *
 * Start-up test. Before the first drive after power-up every contact of every hold must
 * be seen in stop (for release_ms) and then in run: press and let go each once. Until
 * then UNTRIED is a reason, and untried says which are left. A contact that is welded,
 * or a wire that is bridged, is found so before anything moves.
 *
 * Holds. The first sample that reads stop stops. A contact with a filter stops once it
 * has read stop for longer than filter_ms, which reading run counts down as stop counts
 * it up: one that shakes, and is open for less than half of the time, never stops.
 * A contact must read run without any interruption for debounce_ms to count as
 * run again. Two channels must both run. When they differ for discrepancy_ms, or one
 * comes back to run and the other was never seen to stop, that is latched as a fault,
 * and to clear it both must have been in the stop state together.
 * After a stop by a latched hold or a channel fault a reset is needed: with all
 * those circuits back in run, reset_request is pressed anew for reset_press_ms
 * and let go. It acts on letting go, so that a jammed button resets nothing
 * (after ISO 13849-1, manual reset). After each press of either button it must be let go
 * for release_ms before the next counts. A reset starts nothing. What these rules take
 * from the standards named is from memory and no quotation.
 *
 * Stopping is of category 0 (IEC 60204-1): drive_enable goes false, and power is taken
 * away. A controlled stop under power is not among the things proved.
 *
 * Arriving. Where the rover stops, the drive is cut so that the coast ends on the mark.
 * It is at rest settle_ms later, and then looked at: two fixes in a row that hold for
 * instants after that must agree that it is within the tolerance, or short of it, or at
 * or beyond the mark. Short of it, it goes on, and the drive is cut where it enters the
 * tolerance at the latest. A dwell in which it was stopped is dwelt anew, if it is still
 * there. While it dwells, and when it has finished, a fix further from
 * the waypoint than tolerance and jump_mm is a reason, NOT_AT_REST.
 *
 * Fence and line. At the last good fix the margin must be no less than
 * fence_allowance_mm and as far as the body reaches until rest, whatever its heading:
 * its front corner at the end of the stopping distance, or its rear corner now.
 * Unless it coasts with a measured speed, the stopping distance is reckoned at no less
 * than the leg's speed, since the rover may yet come to it. The first start must be
 * within the tolerance of the leg's first waypoint; from then on the rover must keep
 * within cross_track_mm of the line, or join_cross_mm before join_mm, or roll out within
 * the tolerance of its end, no further than retreat_mm behind the foremost place that
 * it had reached, and never further than that, tolerance and jump_mm behind the start.
 *
 * Site shift. With shift_needed the mission was checked with fixes that a site shift
 * of the day has moved onto its marks: until one is set, were it zero, that is a
 * reason, NO_SHIFT. One of another plan is none.
 *
 * Fixes. One of less than required_quality is not used, nor one that is older than the
 * last. A good one older than stale_after_ms, counted from latency_ms after its instant,
 * is a reason: STALE_FIX when none came since, POOR_FIX when poor ones did. One outside
 * the domain of the conversion is a reason at once. So is one that jumps: further from
 * the one before than jump_mm and what the fastest of the rover's speeds makes of the
 * time between (2 m/s at least while the drive is off, when it may be pushed); that stays
 * a reason for stale_after_ms. And so is one that stands still while the wheels turn.
 *
 * Time. time_ms may wrap at 2^32; only differences between calls count. A call
 * later than loop_ms after the one before is a reason in that step, LATE_STEP, and
 * nothing counts as steady across it; so is a clock that goes backwards.
 *
 * Power cycle. What mere_remember gives goes on after one: latched stops, channel
 * faults, the leg and how far it had come, and on the same day the start-up test. Leg
 * and start are then as after any stop, but that a dwell is not dwelt anew; what was
 * finished stays so.
 * ------------------------------------------------------------------------ */

/* ------------------------------------------------------------------------
 * 6. Functions
 *
 * All that a firmware calls. The first six are for the loop. The others answer single
 * questions in the arithmetic of mere_step, for displays, logs and tests: driving
 * needs none of them.
 *
 * - The first six catch a null pointer: they return false, or a step that does not
 *   drive. Of the others no pointer may be null. None is kept. Nothing is written but what
 *   the pointers that are not const point to; input, output and state are three different
 *   objects.
 * - Missions, and legs, rover, conversion and fence, are those of a generated
 *   header. For others nothing is proved.
 * - Within the domain given, or for any value where none is, no sum overflows and
 *   no table is read beyond its end. The domains are not tested.
 * - Calls may interrupt one another, or run on several cores, unless one of them
 *   changes what another uses: a state is for one task alone.
 * ------------------------------------------------------------------------ */

/* Begins a mission at a leg, 0 for the first: the rover is to stand at the start of
 * that leg, within the tolerance there, or else the operator's start is refused. To be
 * called at rest; from the next step on the drive is off until the operator starts.
 *
 * Of a state that is zeros or not sound it fills in all, as after power-up. Of one that
 * was started before, for another lap or another try, it keeps what holds, latched
 * stops, faults, buttons and start-up test have come to, and the site shift. When that
 * was another mission's, a latched stop latches the new one's, a fault is one of all its
 * two-channel circuits, and tests and shift are to be made again.
 *
 * False when a pointer is null, when the tables are of another format or have more than
 * MERE_MAX_HOLDS contacts, or there is no such leg. mere_step then never enables the
 * drive; a state that was started before keeps its latches all the same. Stops are not seen
 * until a mere_start that is true, which therefore latches every latching hold.
 * Bound of the loop: MERE_MAX_HOLDS. */
static inline bool mere_start(const mere_mission_t *mission, mere_state_t *state, uint16_t leg);

/* Sets the site shift: each fix is turned about the frame's origin by the angle
 * with its sine (positive from east towards north; 0 for none), then moved by
 * (east, north), so that today's fixes agree with the mission's marks. To be called
 * after a mere_start that was true; it stays over laps, until it is set anew or cleared.
 * Takes effect with the next fix; the last one no longer counts.
 *
 * False, and nothing changed, of a state that was not started with this mission, for a
 * shift of another plan than the mission's, while driving, coasting or dwelling, and for
 * a shift beyond rover.max_shift_mm, east or north, or a
 * sine beyond MERE_MAX_ROTATION_Q30. A firmware that went on would not get a start
 * where the mission needs a shift and had none, and else drive with the one it had.
 * The day is not looked at: see mere_site_shift_t.
 * Worst error 0.04 mm at 22 km, of the rotation's cosine. Bound of the loop: 32. */
static inline bool mere_set_shift(const mere_mission_t *mission, mere_state_t *state, const mere_site_shift_t *shift);

/* Forgets the site shift, as is due after a night or when the base was set up anew.
 * False, and nothing changed, of a state that was not started, and while driving,
 * coasting or dwelling. */
static inline bool mere_clear_shift(mere_state_t *state);

/* Fills in what is worth keeping through a power cycle. day is that of the start-up
 * test, as the firmware counts days, or 0 when it does not know. That one channel of two
 * has just stopped, and the other not yet, is not in it. False, and nothing
 * written, of a state that was not started or is not sound. */
static inline bool mere_remember(const mere_state_t *state, uint32_t day, mere_memory_t *memory);

/* Takes back what was kept, after a mere_start that was true and before the first step.
 * day is today's: the start-up test is taken back where it is that of the memory, and
 * not 0. The leg is that of the memory: not begun, the rover is to stand at its start;
 * begun, anywhere on it; ended, the mission is finished.
 *
 * False, and nothing changed, when the memory is blank, damaged, or of another plan, of a
 * state that was not started with this mission, and while driving, coasting or dwelling. A
 * firmware that was never switched off in the midst of a mission has none; one that has
 * lost it must not go on as if nothing had been latched: see CAUTIONS. */
static inline bool mere_recall(const mere_mission_t *mission, mere_state_t *state, const mere_memory_t *memory,
                               uint32_t day);

/* One turn of the loop: follows the holds, the fix and the route by the rules of
 * section "Rules", and says whether the drive may be powered. To be called at least
 * every rover.loop_ms, with a new fix or without, with the mission given to
 * mere_start. A state of zeros, one that mere_start refused, or another mission, gives
 * MERE_BAD_MISSION and no drive, and what was under way is stopped; a state with a bit
 * changed in what its seal covers gives MERE_BAD_STATE, and no drive until mere_start.
 * What it returned last stands until it is called again: see CAUTIONS about a
 * program that hangs.
 * Bound of the loops: MERE_MAX_HOLDS, 8, and those of mere_fence_margin.
 * Instructions: see the header of the mission; typically 940 with a fix, 510 without. */
static inline void mere_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                             mere_output_t *output);

/* The gravest of some reasons (bits of mere_reason) in words, "none" when there is
 * none. A constant text of up to 35 ASCII characters. Bound of the loop: 24. */
static inline const char *mere_reason_text(uint32_t reasons);

/* The quality in guidance's terms of the digit that a GGA sentence (NMEA 0183) gives,
 * 0 to 9: 1 is standalone, 2 differential, 3 (precise service) counts as standalone, 4 fixed, 5 float;
 * 0 (none), 6 (dead reckoning), 7 (typed in), 8 (simulated) and anything else are no
 * measurements. The digits are not ordered by merit, and are not mere_quality_t. */
static inline uint8_t mere_quality_from_gga(uint8_t digit);

/* Latitude and longitude to east and north, without the site shift: for that see
 * mere_shifted. False when the fix is outside the domain; *at is then untouched.
 *
 * Worst error: bound_um, the distance between the point returned and the exact
 * position, for every fix of the domain, proved by the mission compiler. A height
 * other than that of the origin moves the result by 0.16 mm per metre of height and
 * kilometre from the origin (1 / 6 378 137); that is not in the bound.
 * Instructions: 88. */
static inline bool mere_local_from_fix(const mere_conversion_t *conversion, int64_t latitude_ndeg,
                                       int64_t longitude_ndeg, mere_point_t *at);

/* Turns a point about the origin of the frame, from east towards north, then moves
 * it: with &state.shift, by today's site shift, as mere_step does with every fix.
 * Domain: east and north up to MERE_MAX_DOMAIN_MM; the result is then below
 * 22 500 000 mm. Worst error 0.6 mm with a rotation, none without. */
static inline mere_point_t mere_shifted(const mere_shift_t *shift, mere_point_t at);

/* Where a point is with regard to a leg. Domain: east and north up to 25 000 000
 * mm. Worst error 0.6 mm each: 0.5 mm of rounding and 2^-31 for each component of
 * the direction times 45 km. Instructions: 45. */
static inline mere_track_t mere_track(const mere_leg_t *leg, mere_point_t at);

/* Whether a point is at the end of a leg, or has passed it. track is that of the
 * point on this leg, by mere_track, with its domain. The tolerance is compared
 * exactly; abeam and across are as exact as the track. Where the rover stops, mere_step
 * looks at rest instead, and being abeam is not enough. */
static inline mere_arrival_t mere_arrival(const mere_leg_t *leg, mere_point_t at, mere_track_t track);

/* Bearing to steer, 0 to 35999 cdeg: at the point of the leg that is look_ahead_mm
 * (rover.look_ahead_mm; 0 counts as 1) further along than the rover, or at the end
 * of the leg when that is nearer. Domain: a track by mere_track, with its domain.
 * Worst error 2 cdeg: 1 of mere_bearing, for the leg and for the way to the point each. */
static inline uint32_t mere_steer(const mere_leg_t *leg, mere_track_t track, uint16_t look_ahead_mm);

/* Bearing of the vector (east, north) in any unit of length, 0 to 35999 cdeg
 * clockwise from north; 0 for the vector (0, 0). Domain: magnitudes < 2^31. Worst
 * error 1 cdeg. Instructions: 76. */
static inline uint32_t mere_bearing(int32_t east, int32_t north);

/* How far to turn from heading to bearing: -18000 to 17999 cdeg, positive to the
 * right, half a turn to the left. Domain: both 0 to 35999. Exact. */
static inline int32_t mere_turn(uint32_t bearing_cdeg, uint32_t heading_cdeg);

/* Way in mm from where the last fix was to rest, if the drive is cut at the next
 * call of mere_step: what was travelled since the fix held, one more turn of the
 * loop, the delay of the output, and a coast that is not exceeded whatever part of
 * the braking force grows with the speed, on the steepest ground that the mission
 * allows for. Domain: speed up to 65535, age up to
 * rover.stale_after_ms. Never too short where the speed and the rover's figures are
 * true; rounded up, by at most 3 mm, and below 2^31. */
static inline uint32_t mere_stopping_mm(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t speed_mm_s,
                                        uint32_t age_ms);

/* Distance from the mark in mm, seen from where the last fix was, at which to cut
 * the drive so that the coast ends on the mark: what was travelled since the fix
 * held, the output's delay and half a turn of the loop, and the coast to expect on
 * the slope of the leg.
 * mere_step cuts when the way to go along the leg is no more than this, nor more than
 * mere_stopping_mm and the tolerance. Domain as for mere_stopping_mm. Worst error beside
 * that of the speed and of the coast itself: half a turn of the loop (a whole fix
 * interval where mere_step is called with each fix only, since loop_ms is then the fix
 * interval). */
static inline uint32_t mere_cut_mm(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t speed_mm_s,
                                   uint32_t age_ms);

/* Whether a point is allowed, and how far from the fence: -1 when it is outside
 * the boundary, in an obstacle, or exactly on an edge or circle; otherwise a distance
 * in mm that is never larger than that to the nearest edge or circle, and never
 * smaller than min(true distance, exact_within_mm) - slack_mm. No decision of mere_step
 * rests on a margin of more than exact_within_mm - slack_mm at the speeds of the legs;
 * of a true distance beyond exact_within_mm the margin is no smaller than 3/4 of
 * min(true distance, limit_mm), less slack_mm.
 *
 * Exact: never "allowed" for a point that is not, never -1 for a point that is.
 * The point is the antenna's, not the body's. Bound of the loops: root_log2 <= 26,
 * then 255. Instructions: see the header of the mission, 1500 at most; typically 260. */
static inline int32_t mere_fence_margin(const mere_fence_t *fence, mere_point_t at);

/* ------------------------------------------------------------------------
 * 7. Numbers (private)
 *
 * Private: not for firmware; may change between versions.
 * ------------------------------------------------------------------------ */

/* a * b / 2^32, rounded down: the high word of the product.
 * Overflow: |a * b| <= 2^62. One instruction. */
static inline int32_t mere_high(int32_t a, int32_t b)
{
    return (int32_t)(((int64_t)a * (int64_t)b) >> 32);
}

/* a * b + c * d. Overflow: callers stay below 2^62. */
static inline int64_t mere_sum_of_products(int32_t a, int32_t b, int32_t c, int32_t d)
{
    return ((int64_t)a * (int64_t)b) + ((int64_t)c * (int64_t)d);
}

/* sum / 2^(32 + shift) to the nearest, halves up. Domain: 1 <= shift <= 31,
 * |sum| < 2^62; the result fits 31 bits. */
static inline int32_t mere_scaled(int64_t sum, uint8_t shift)
{
    const int32_t high = (int32_t)(sum >> 32);
    const uint32_t half = ((uint32_t)1 << shift) >> 1;

    return (high + (int32_t)half) >> shift;
}

/* (a * b + c * d) / 2^30 to the nearest, halves up. Domain: a and c below 2^27 in
 * magnitude, b and d up to 2^30. Overflow: 2^58 + 2^29. */
static inline int32_t mere_dot_q30(int32_t a, int32_t b, int32_t c, int32_t d)
{
    return (int32_t)((mere_sum_of_products(a, b, c, d) + 0x20000000) >> 30);
}

/* The same, rounded down. Domain and overflow as before. */
static inline int32_t mere_dot_down_q30(int32_t a, int32_t b, int32_t c, int32_t d)
{
    return (int32_t)(mere_sum_of_products(a, b, c, d) >> 30);
}

/* Magnitude. Domain: a > -2^31. */
static inline uint32_t mere_magnitude(int32_t a)
{
    return (uint32_t)((a < 0) ? -a : a);
}

/* a + b, but at most limit. Domain: a <= limit. */
static inline uint32_t mere_add_up_to(uint32_t a, uint32_t b, uint32_t limit)
{
    return (b > (limit - a)) ? limit : (a + b);
}

/* small / large in Q15, for small <= large < 2^31: never above the true ratio,
 * less than 2^-14 below it, and at most 32767. 0 when large is 0.
 *
 * Both are halved until large is below 2^17, large rounded up and small down;
 * large is then at least 2^16, so that each of the two roundings costs at most
 * 2^-16 of the ratio (rounding up several times costs no more than once), the
 * division's own less than 2^-15. Overflow: small < 2^17, shifted by 15. */
static inline uint32_t mere_ratio_q15(uint32_t small, uint32_t large)
{
    uint32_t shift = 0u;
    uint32_t ratio = 0u;

    if (large > 0xFFFFFFu) {
        shift = 8u;
    }
    if ((large >> shift) > 0xFFFFFu) {
        shift += 4u;
    }
    if ((large >> shift) > 0x3FFFFu) {
        shift += 2u;
    }
    if ((large >> shift) > 0x1FFFFu) {
        shift += 1u;
    }
    if (large > 0u) {
        const uint32_t divisor = (large + (((uint32_t)1 << shift) - 1u)) >> shift;
        ratio = ((small >> shift) << 15) / divisor;
    }
    return (ratio > 32767u) ? 32767u : ratio;
}

/* Length of a vector: never too large, and less than 2^-13 of it (0.012 %) and
 * 2 mm too small. Domain: a, b < 2^28 (268 km).
 *
 * With r = small / large and t = r^2 the length is large * (1 + g(t)), where
 * g(t) = sqrt(1 + t) - 1. The coefficients make t * (c0 + t * (c1 + ...)) lie
 * below g(t), by at most 2.3e-4 of it, for t from 0 to 1; they were fitted to
 * the least greatest relative error and then lowered by it. g grows with r,
 * which is never too large, and every mere_high rounds down. In Q31, t halves
 * the coefficient with each product, so that c_k is kept times 2^(31 + k).
 * Instructions: 65. */
static inline uint32_t mere_length(uint32_t a, uint32_t b)
{
    const uint32_t large = (a > b) ? a : b;
    const uint32_t small = (a > b) ? b : a;
    uint32_t length = large;

    if (small > 0u) {
        const int32_t ratio = (int32_t)mere_ratio_q15(small, large);
        const int32_t t_q31 = ratio * ratio * 2;
        int32_t growth_q30 = -231582216;
        growth_q30 = 435322255 + mere_high(growth_q30, t_q31);
        growth_q30 = -528131546 + mere_high(growth_q30, t_q31);
        growth_q30 = 1073497111 + mere_high(growth_q30, t_q31);
        growth_q30 = mere_high(growth_q30, t_q31);
        length += (uint32_t)mere_high((int32_t)(large << 2), growth_q30);
    }
    return length;
}

/* ------------------------------------------------------------------------
 * 8. Legs and stopping (private)
 *
 * Private: not for firmware; may change between versions.
 * ------------------------------------------------------------------------ */

/* Whether a point is within a tolerance (0 to 65535 mm) of a waypoint. Exact.
 * Overflow: differences < 2^26, sum of squares < 2^53. */
static inline bool mere_within(mere_point_t at, const mere_leg_t *waypoint, uint16_t tolerance_mm)
{
    const int32_t east = at.east_mm - waypoint->east_mm;
    const int32_t north = at.north_mm - waypoint->north_mm;

    return mere_sum_of_products(east, east, north, north) <= ((int64_t)tolerance_mm * (int64_t)tolerance_mm);
}

/* Way travelled at a speed in a time, rounded up. Domain: both <= 65535.
 * Overflow: 65535 * 65535 + 999 < 2^32. */
static inline uint32_t mere_travel_mm(uint32_t speed_mm_s, uint32_t time_ms)
{
    return ((speed_mm_s * time_ms) + 999u) / 1000u;
}

/* v^2 * factor / 2^32, rounded up. Domain: v <= 65535, factor <= 2^30.
 * Overflow: v^2 < 2^32, result <= 2^30. */
static inline uint32_t mere_square_mm(uint32_t speed_mm_s, uint32_t factor_q32)
{
    const uint64_t square = (uint64_t)speed_mm_s * (uint64_t)speed_mm_s;

    return (uint32_t)(((square * factor_q32) + 0xFFFFFFFFu) >> 32);
}

/* A leg's coast, in its unit, from another speed (<= 65535) in proportion to the square:
 * coast * (v / V)^2 for the leg's speed V, rounded up, at most 2 units and 2^-12 of it too
 * long. From 4 V on that of 4 V is given. Overflow: the ratio in Q14 is at most 2^16, its
 * square in Q28 2^32, so that 64 bits hold the product; the result is below 2^20. */
static inline uint32_t mere_coast_square(const mere_leg_t *leg, uint16_t coast, uint32_t speed_mm_s)
{
    uint32_t ratio_q14 = 0x10000u;
    uint64_t square_q28;

    if (speed_mm_s < (4u * (uint32_t)leg->speed_mm_s)) {
        ratio_q14 = ((speed_mm_s << 14) + (leg->speed_mm_s - 1u)) / leg->speed_mm_s;
    }
    square_q28 = (uint64_t)ratio_q14 * (uint64_t)ratio_q14;
    return (uint32_t)(((square_q28 * coast) + 0xFFFFFFFu) >> 28);
}

/* Coast on this leg's slope from a speed (<= 65535) if the braking force does not
 * depend on the speed: d = v^2 / 2a, so that from the leg's speed times
 * (v / leg's speed)^2, rounded up. This is the coast to expect, for cutting the drive.
 * Overflow: 2^20 units of up to 2^10 mm. */
static inline uint32_t mere_coast_mm(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t speed_mm_s)
{
    return mere_coast_square(leg, leg->coast, speed_mm_s) * rover->coast_unit_mm;
}

/* Coast from a speed (<= 65535) that is not exceeded whatever part of the
 * braking force grows with the speed, on the steepest ground that the mission allows
 * for: below a speed V that was reckoned with in proportion to v, above it to v^2; V is
 * the leg's speed, and the highest of the mission. With the deceleration a + b v, D(v) / v is the mean of
 * u / (a + b u) over u from 0 to v, which grows with v, so D(v) <= D(V) v / V
 * for v <= V; and for v >= V the deceleration is at least that at V, so that
 * D(v) <= D(V) v^2 / V^2. For the fence. Overflow: a leg's speed and bound in its unit are
 * below 2^16 each, the highest speed's in 64 bits. */
static inline uint32_t mere_coast_bound_mm(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t speed_mm_s)
{
    uint32_t coast;

    if (speed_mm_s <= leg->speed_mm_s) {
        coast = (((speed_mm_s * leg->coast_bound) + (leg->speed_mm_s - 1u)) / leg->speed_mm_s) * rover->coast_unit_mm;
    } else if (speed_mm_s > rover->coast_top_mm_s) {
        coast = mere_square_mm(speed_mm_s, rover->coast_top_square_q32);
    } else {
        coast = (uint32_t)((((uint64_t)speed_mm_s * rover->coast_top_linear_q16) + 0xFFFFu) >> 16);
        if (speed_mm_s < (4u * (uint32_t)leg->speed_mm_s)) {
            const uint32_t square = mere_coast_square(leg, leg->coast_bound, speed_mm_s) * rover->coast_unit_mm;

            if (square < coast) {
                coast = square;
            }
        }
    }
    return coast;
}

/* Whether a margin from the fence (0 to 2^27) is less than the body may need, for a way
 * to rest and any heading phi against the fence. From where the antenna is the body
 * gets as far as the greatest of (way + front) sin(phi) + half_width cos(phi), which is
 * a front corner's hypot(way + front, half_width); a rear corner's is hypot(back,
 * half_width) now. The allowance is to remain. Exact, by squares. Overflow: a way is at most 2^23 + 2^30,
 * see mere_stopping_mm, so that squares stay below 2^62. */
static inline bool mere_too_near(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t margin_mm, uint32_t way_mm)
{
    const int32_t room = (int32_t)margin_mm - (int32_t)leg->fence_allowance_mm;
    const uint32_t front_mm = way_mm + rover->front_mm;
    const int32_t front = (int32_t)front_mm;
    const int32_t back = (int32_t)rover->back_mm;
    const int32_t aside = (int32_t)rover->half_width_mm;
    const int32_t along = (front > back) ? front : back;

    return (room < 0) || (((int64_t)room * (int64_t)room) < mere_sum_of_products(along, along, aside, aside));
}

/* As mere_steer, along a leg with a bearing that is known already. */
static inline uint32_t mere_steer_along(uint32_t leg_bearing_cdeg, mere_track_t track, uint16_t look_ahead_mm)
{
    int32_t ahead = (int32_t)look_ahead_mm;
    uint32_t bearing;

    if (ahead > track.to_go_mm) {
        ahead = track.to_go_mm;
    }
    if (ahead < 1) {
        ahead = 1;
    }
    /* A rover right of the line (cross > 0) has the point to its left. */
    bearing = leg_bearing_cdeg + mere_bearing(-track.cross_mm, ahead);
    if (bearing >= 36000u) {
        bearing -= 36000u;
    }
    return bearing;
}

/* ------------------------------------------------------------------------
 * 9. Fence (private)
 *
 * Private: not for firmware; may change between versions.
 *
 * The root square is cut in four, and those again, until a cell is simple. Each
 * group of four words in nodes[] is one cut: south-west, south-east, north-west,
 * north-east. A word is
 *
 *     below 0x8000     the number of a further group
 *     0x8000           a cell that is not allowed anywhere
 *     0x8000 + k       a cell with the list that begins at lists[k << list_log2]
 *     0xC000 + k       a cell that is allowed everywhere and has a margin of at
 *                      least k * margin_unit_mm
 *
 * A list holds every edge and circle that passes through the cell, or is nearest
 * to any allowed point of it and no further than limit_mm. Its first word
 * is
 *
 *     bits 0 to 7      number of entries that follow
 *     bits 8 to 14     winding number at the cell's south-west corner, plus 64
 *     bit 15           the cell is allowed everywhere: no need to look
 *
 * and each entry is the number of an edge or circle in bits 0 to 13, with bit 14
 * for a circle, and bit 15 when that corner is on the left of the edge.
 *
 * The boundary counts +1 for points inside it, each ring obstacle -1, so that
 * the winding number is 1 exactly in the allowed area, even where obstacles
 * overlap or reach over the boundary. Round obstacles are looked at directly.
 * ------------------------------------------------------------------------ */

static const uint32_t MERE_NODE_LEAF = 0x8000u;
static const uint32_t MERE_NODE_CLEAR = 0xC000u;
static const uint32_t MERE_NODE_INDEX = 0x3FFFu;
static const uint32_t MERE_LIST_COUNT = 0xFFu;
static const uint32_t MERE_LIST_WINDING = 0x7Fu;
static const uint32_t MERE_LIST_CLEAR = 0x8000u;
static const uint32_t MERE_ENTRY_INDEX = 0x3FFFu;
static const uint32_t MERE_ENTRY_CIRCLE = 0x4000u;
static const uint32_t MERE_ENTRY_LEFT = 0x8000u;

/* A point as seen from the two ends of an edge. */
typedef struct {
    int32_t east;                    /* mm from the edge's first vertex */
    int32_t north;
    int32_t end_east;                /* mm from its second vertex, that of the next entry */
    int32_t end_north;
} mere_seen_t;

/* On which side of the line through an edge a point is: more than 0 on the left, less on
 * the right, 0 on it. Exact: the cross product of the edge with the way from its first
 * vertex is that of the ways from its two ends. Overflow: differences < 2^27, products
 * < 2^55. */
static inline int64_t mere_side(const mere_seen_t *seen)
{
    return mere_sum_of_products(seen->east, seen->end_north, -seen->north, seen->end_east);
}

/* Whether a point on the line through an edge is on the edge, ends included. Exact. */
static inline bool mere_on_edge(const mere_seen_t *seen)
{
    return mere_sum_of_products(seen->east, seen->end_east, seen->north, seen->end_north) <= 0;
}

/* Whether an edge's two ends are on different sides of the line from a cell's
 * corner to a point, (x, y) from the corner to the point. Exact. Overflow: (x, y) < 2^26. */
static inline bool mere_crosses(const mere_seen_t *seen, int32_t x, int32_t y)
{
    const bool first_left = mere_sum_of_products(y, seen->east, -x, seen->north) > 0;
    const bool second_left = mere_sum_of_products(y, seen->end_east, -x, seen->end_north) > 0;

    return first_left != second_left;
}

/* The smaller of a limit and the distance from a circle, never too large; -1 in
 * the circle or on it, exactly. Overflow: differences < 2^27, squares < 2^54. */
static inline int32_t mere_circle_margin(const mere_circle_t *circle, mere_point_t at, int32_t limit_mm)
{
    const int32_t east = at.east_mm - circle->east_mm;
    const int32_t north = at.north_mm - circle->north_mm;
    const uint32_t far = (uint32_t)circle->radius_mm + (uint32_t)limit_mm;
    int32_t margin = limit_mm;

    if (mere_sum_of_products(east, east, north, north) <= ((int64_t)circle->radius_mm * (int64_t)circle->radius_mm)) {
        margin = -1;
    } else if ((mere_magnitude(east) < far) && (mere_magnitude(north) < far)) {
        const int32_t distance = (int32_t)mere_length(mere_magnitude(east), mere_magnitude(north)) - circle->radius_mm;

        if (distance < limit_mm) {
            margin = (distance > 0) ? distance : 0;
        }
    } else {
        /* further than the limit */
    }
    return margin;
}

/* The smaller of a margin and the distance from an edge, see mere_list_margin. */
static inline int32_t mere_least_margin(int32_t margin_mm, int32_t abreast_mm, int32_t beyond_mm)
{
    const int32_t length_mm = (int32_t)mere_length((uint32_t)abreast_mm, (uint32_t)beyond_mm);
    int32_t distance_mm = length_mm - 1;

    if (distance_mm < 0) {
        distance_mm = 0;
    }
    return (distance_mm < margin_mm) ? distance_mm : margin_mm;
}

/* Margin at a point for the edges and circles of a list: -1 when the point is
 * not allowed, else as for mere_fence_margin. (x, y) is the point less the cell's
 * south-west corner.
 *
 * Containment: the line from the corner to the point changes the winding number
 * by +1 at each edge that it crosses from right to left, by -1 from left to
 * right. It crosses an edge when its two ends are on different sides of the
 * edge, and the edge's two ends on different sides of it; an end exactly on the
 * line counts as on its right, which is the same as moving the line a hair to
 * its left and so treats all edges alike. The corner is on no edge (the compiler
 * sees to it), and a point on an edge is found first. All on integers, exact.
 *
 * side_mm is the distance from the line of an edge, positive on the left, rounded down,
 * with the Q30 direction; it is within 0.07 mm of the truth before rounding (2^-31 for
 * each component, times 2^26 mm), and so tells the side unless it is 0 or -1.
 *
 * Margin: for each edge the distance from its line and the way before its first
 * vertex or beyond its second, each rounded down; the edge with the least sum of
 * squares counts. Both are at most 0.07 mm too large, so the length of the two
 * together is at most 0.1 mm, and 1 mm is taken off.
 *
 * Bound of the loop: 255. Overflow: see mere_side and mere_crosses. */
static inline int32_t mere_list_margin(const mere_fence_t *fence, const uint16_t *list, mere_point_t at,
                                       int32_t x, int32_t y)
{
    const uint32_t count = (uint32_t)list[0] & MERE_LIST_COUNT;
    const bool clear = (list[0] & MERE_LIST_CLEAR) != 0u;
    const uint32_t biased_winding = ((uint32_t)list[0] >> 8) & MERE_LIST_WINDING;
    int32_t winding = (int32_t)biased_winding - 64;
    int32_t margin = (int32_t)fence->limit_mm;
    int32_t abreast_mm = margin + 1; /* of the nearest edge so far */
    int32_t beyond_mm = 0;
    int64_t square = (int64_t)abreast_mm * (int64_t)abreast_mm;
    uint32_t i;

    /*@ loop invariant count <= 255; loop variant 255 - i; */
    for (i = 1u; i <= count; i++) {
        const uint32_t entry = list[i];

        if ((entry & MERE_ENTRY_CIRCLE) != 0u) {
            margin = mere_circle_margin(&fence->circles[entry & MERE_ENTRY_INDEX], at, margin);
            if (margin < 0) {
                return -1;
            }
        } else {
            const mere_edge_t *edge = &fence->edges[entry & MERE_ENTRY_INDEX];
            mere_seen_t seen;
            int32_t side_mm;
            int32_t abreast;

            seen.east = at.east_mm - edge[0].east_mm;
            seen.north = at.north_mm - edge[0].north_mm;
            seen.end_east = at.east_mm - edge[1].east_mm;
            seen.end_north = at.north_mm - edge[1].north_mm;
            side_mm = mere_dot_down_q30(seen.north, edge->unit_east_q30, -seen.east, edge->unit_north_q30);
            abreast = (side_mm < 0) ? ~side_mm : side_mm;
            if (!clear) {
                const bool corner_left = (entry & MERE_ENTRY_LEFT) != 0u;
                bool left = side_mm > 0;

                if ((side_mm == 0) || (side_mm == -1)) {
                    const int64_t side = mere_side(&seen);

                    if ((side == 0) && mere_on_edge(&seen)) {
                        return -1;
                    }
                    left = side > 0;
                }
                if ((left != corner_left) && mere_crosses(&seen, x, y)) {
                    winding += left ? 1 : -1;
                }
            }
            if (abreast < (abreast_mm + beyond_mm)) { /* or else it cannot be the nearest */
                const int32_t along = mere_dot_down_q30(seen.east, edge->unit_east_q30, seen.north, edge->unit_north_q30);
                int32_t beyond;
                int64_t edge_square;

                if (along < 0) {
                    beyond = ~along; /* before the first vertex */
                } else {
                    beyond = mere_dot_down_q30(seen.end_east, edge->unit_east_q30, seen.end_north, edge->unit_north_q30);
                    if (beyond < 0) {
                        beyond = 0; /* abreast of the edge */
                    }
                }
                edge_square = mere_sum_of_products(abreast, abreast, beyond, beyond);
                if (edge_square < square) {
                    square = edge_square;
                    abreast_mm = abreast;
                    beyond_mm = beyond;
                }
            }
        }
    }
    if ((!clear) && (winding != 1)) {
        return -1;
    }
    return mere_least_margin(margin, abreast_mm, beyond_mm);
}

/* ------------------------------------------------------------------------
 * 10. Hold circuits (private)
 *
 * Private: not for firmware; may change between versions.
 * ------------------------------------------------------------------------ */

/* Flags of mere_state_t. */
static const uint32_t MERE_FLAG_TIMED = 0x01u;       /* time_ms is that of the last step */
static const uint32_t MERE_FLAG_LOCATED = 0x02u;     /* there has been a good fix; at and the rest hold */
static const uint32_t MERE_FLAG_POOR = 0x04u;        /* the last fix was poor */
static const uint32_t MERE_FLAG_ASTRAY = 0x08u;      /* the last good fix was out of the domain */
static const uint32_t MERE_FLAG_BEGUN = 0x10u;       /* the leg was begun: the line counts, not its start */
static const uint32_t MERE_FLAG_CREEPING = 0x20u;    /* it came to rest short, and goes on */
static const uint32_t MERE_FLAG_PRESSED = 0x40u;     /* all hold-to-run circuits were in run */
static const uint32_t MERE_FLAG_STANDS = 0x80u;      /* the fix stood still while the wheels turned */
static const uint32_t MERE_FLAG_TOLD = 0x100u;       /* finished: that a stop is asked for was told */
static const uint32_t MERE_FLAG_REFUSED = 0x200u;    /* the last mere_start was refused */
static const uint32_t MERE_FLAG_DWELLS = 0x400u;     /* stopped in a dwell: it is to be dwelt anew */
static const uint32_t MERE_FLAG_PLACED = 0x800u;     /* there is a place to tell a jump from */
static const uint32_t MERE_FLAG_CARRIED = 0x1000u;   /* mere_start made latches: the next step tells to store them */

/* Sets or clears flags of the state. */
static inline void mere_set_flags(mere_state_t *state, uint32_t flags, bool on)
{
    const uint32_t others = state->flags & ~flags;

    state->flags = (uint16_t)(on ? (others | flags) : others);
}

static const uint16_t MERE_PRESS_SPENT = 0xFFFFu;    /* a press that no longer counts, see mere_press */
static const uint16_t MERE_PRESS_DONE = 0xFFFEu;     /* a press that has acted */

/* What one step is about, from its parts to its end. */
typedef struct {
    uint32_t elapsed_ms;             /* since the last step */
    uint32_t reasons;                /* against driving */
    uint32_t events;
    uint32_t speed_mm_s;             /* as measured, up to 65535; 0 when not known */
    uint32_t stopping_mm;            /* at the fastest that the rover may come to */
    bool late;                       /* nothing counts as steady since the last step */
    bool act;                        /* the operator's */
    bool fix_taken;                  /* a good fix */
} mere_moment_t;

/* A time that was counted up, in a counter that is 0 for "not counting" and else
 * 1 more than the time since the first sample; stays below MERE_PRESS_DONE. */
static inline uint16_t mere_count_up(uint16_t counter, uint32_t elapsed_ms)
{
    return (uint16_t)((counter == 0u) ? 1u : mere_add_up_to(counter, elapsed_ms, 0xFFFDu));
}

/* Contact i that is in run. count_ms is how long it has read stop, as mere_count_up
 * has it; while it reads run that counts down. */
static inline void mere_contact_runs(const mere_hold_t *hold, mere_state_t *state, uint32_t i, bool reads_run,
                                     const mere_moment_t *moment)
{
    const uint32_t bit = (uint32_t)1 << i;
    uint16_t count_ms = state->count_ms[i];

    if (!reads_run) {
        count_ms = mere_count_up(count_ms, moment->elapsed_ms);
        if (moment->late || (count_ms > hold->filter_ms)) {
            count_ms = 0u;
            state->holds_run = (uint16_t)(state->holds_run & ~bit);
            if (hold->latched != 0u) {
                state->latched = (uint16_t)(state->latched | bit);
            }
        }
    } else if (count_ms > moment->elapsed_ms) {
        count_ms = (uint16_t)(count_ms - moment->elapsed_ms);
    } else {
        count_ms = 0u;
    }
    state->count_ms[i] = count_ms;
    state->filtering = (uint16_t)((count_ms != 0u) ? (state->filtering | bit) : (state->filtering & ~bit));
}

/* Contact i that is in stop. count_ms is how long it has read as it does, without
 * interruption. */
static inline void mere_contact_stops(const mere_mission_t *mission, mere_state_t *state, uint32_t i, bool reads_run,
                                      mere_moment_t *moment)
{
    const mere_hold_t *hold = &mission->holds[i];
    const uint32_t bit = (uint32_t)1 << i;
    const bool read_run = (state->holds_read & bit) != 0u;
    uint16_t count_ms = 0u;

    if ((reads_run == read_run) && !moment->late) {
        count_ms = (uint16_t)mere_add_up_to(state->count_ms[i], moment->elapsed_ms, 0xFFFFu);
    }
    if (!reads_run) {
        if (hold->latched != 0u) {
            state->latched = (uint16_t)(state->latched | bit);
        }
        if (count_ms >= mission->rover.release_ms) {
            state->opened = (uint16_t)(state->opened | bit);
        }
    } else if (count_ms >= hold->debounce_ms) {
        count_ms = 0u;
        state->holds_run = (uint16_t)(state->holds_run | bit);
        if ((state->opened & ~(uint32_t)state->tried & bit) != 0u) {
            state->tried = (uint16_t)(state->tried | bit);
            moment->events |= MERE_EVENT_TRIED;
        }
    } else {
        /* not yet in run */
    }
    state->count_ms[i] = count_ms;
}

/* Watches the two channels i and i + 1 of a circuit, i even, of those that ran before this
 * step. Both have been in stop together
 * once one sample reads so of both: that neither is in run yet, as at power-up, shows
 * nothing. */
static inline void mere_channels(const mere_hold_t *hold, mere_state_t *state, uint32_t i, uint32_t reads_run,
                                 uint32_t ran, const mere_moment_t *moment)
{
    const uint32_t run = ((uint32_t)state->holds_run >> i) & 3u;
    const uint32_t bit = (uint32_t)1 << (i / 2u);
    uint16_t differ_ms = 0u;
    uint32_t fault = 0u;

    if ((((ran >> i) & 3u) == 3u) && (run != 3u)) { /* what both did earlier tells nothing of this time */
        state->both_stopped = (uint8_t)(state->both_stopped & ~bit);
    }
    if (run == 0u) {
        state->both_stopped = (uint8_t)(state->both_stopped | ((((reads_run >> i) & 3u) == 0u) ? bit : 0u));
    } else if (run != 3u) {
        state->parted = (uint8_t)(state->parted | bit);
        differ_ms = moment->late ? (uint16_t)1u : mere_count_up(state->differ_ms[i / 2u], moment->elapsed_ms);
        fault = (differ_ms > hold->discrepancy_ms) ? bit : 0u;
    } else {
        fault = state->parted & ~(uint32_t)state->both_stopped & bit;
        state->parted = (uint8_t)(state->parted & ~bit);
        if ((state->faults & bit) == 0u) {
            state->both_stopped = (uint8_t)(state->both_stopped & ~bit);
        }
    }
    state->faults = (uint8_t)(state->faults | fault);
    state->both_stopped = (uint8_t)(state->both_stopped & ~fault);
    state->differ_ms[i / 2u] = differ_ms;
}

/* Every contact in turn, and every pair of channels. Bound of the loop: MERE_MAX_HOLDS. */
static inline void mere_contacts(const mere_mission_t *mission, mere_state_t *state, uint32_t reads_run, mere_moment_t *moment)
{
    const uint32_t ran = state->holds_run;
    uint32_t i;

    /*@ loop variant 255 - i; */
    for (i = 0u; i < mission->hold_count; i++) {
        const bool run = ((reads_run >> i) & 1u) != 0u;

        if ((((uint32_t)state->holds_run >> i) & 1u) != 0u) {
            mere_contact_runs(&mission->holds[i], state, i, run, moment);
        } else {
            mere_contact_stops(mission, state, i, run, moment);
        }
        if (((i & 1u) != 0u) && (mission->holds[i - 1u].two_channels != 0u)) {
            mere_channels(&mission->holds[i - 1u], state, i - 1u, reads_run, ran, moment);
        }
    }
}

/* Follows a push button. The counter becomes MERE_PRESS_SPENT when a press must
 * not count, and MERE_PRESS_DONE when one that counts is let go; else see mere_count_up. It
 * is 0 again only once the button has read let go for release_ms: one that jams, and
 * shakes, is not. */
static inline uint16_t mere_press(uint16_t counter, uint16_t *let_go_ms, bool pressed, bool counts,
                                  const mere_moment_t *moment, uint16_t release_ms)
{
    uint16_t next = 0u;

    if (pressed) {
        next = counter;
        *let_go_ms = 0u;
        if (counter < MERE_PRESS_DONE) {
            next = counts ? mere_count_up(counter, moment->elapsed_ms) : MERE_PRESS_SPENT;
        }
    } else if (counter >= MERE_PRESS_DONE) {
        *let_go_ms = moment->late ? (uint16_t)1u : mere_count_up(*let_go_ms, moment->elapsed_ms);
        next = (*let_go_ms > release_ms) ? (uint16_t)0u : counter;
    } else if (counter != 0u) {
        *let_go_ms = 1u;
        next = MERE_PRESS_DONE;
    } else {
        /* not pressed, and was not */
    }
    return next;
}

/* A counter of a button that is pressed while nobody looks. */
static inline uint16_t mere_spent(uint16_t counter)
{
    return ((counter != 0u) && (counter != MERE_PRESS_DONE)) ? MERE_PRESS_SPENT : counter;
}

/* Whether a press is over in this step: one that counted, let go, or one that was spent. */
static inline bool mere_press_over(uint16_t before, uint16_t after, bool pressed)
{
    return (before == MERE_PRESS_SPENT) ? (after == 0u) : ((before != 0u) && (before < MERE_PRESS_DONE) && (!pressed));
}

/* Whether everything that a reset would reset is back in run. Bound of the loop: 8. */
static inline bool mere_resettable(const mere_state_t *state)
{
    const uint32_t waiting = (uint32_t)state->holds_all & ~(uint32_t)state->holds_run;
    const uint32_t unproved = state->faults & ~(uint32_t)state->both_stopped;
    uint32_t in_the_way = (state->latched & waiting) | unproved;
    uint32_t i;

    /*@ loop variant (MERE_MAX_HOLDS / 2) - i; */
    for (i = 0u; (i < (MERE_MAX_HOLDS / 2u)) && (((uint32_t)state->faults >> i) != 0u) && (in_the_way == 0u); i++) {
        if (((state->faults >> i) & 1u) != 0u) {
            in_the_way = (waiting >> (2u * i)) & 3u;
        }
    }
    return in_the_way == 0u;
}

/* The reset button: acts on being let go, after a press that counted. */
static inline void mere_take_reset(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                                   mere_moment_t *moment)
{
    const bool resettable = mere_resettable(state);
    const bool counts = resettable && !moment->late;
    const uint16_t before = state->reset_press_ms;

    state->reset_press_ms = mere_press(before, &state->reset_let_go_ms, input->reset_request, counts, moment,
                                       mission->rover.release_ms);
    if (mere_press_over(before, state->reset_press_ms, input->reset_request)) {
        if (counts && (before > mission->rover.reset_press_ms) && (before < MERE_PRESS_DONE)
            && ((state->latched | state->faults) != 0u)) {
            /* That both channels stopped tells of the fault that is reset now, of no later one. */
            state->both_stopped = (uint8_t)(state->both_stopped & ~(uint32_t)state->faults);
            state->latched = 0u;
            state->faults = 0u;
            moment->events |= MERE_EVENT_RESET;
        } else {
            moment->events |= MERE_EVENT_RESET_REFUSED;
        }
    }
}

/* The act of starting: all hold-to-run circuits pressed anew, or the start button. */
static inline void mere_take_act(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                                 mere_moment_t *moment)
{
    const bool counts = (state->holds_to_run == 0u) && !moment->late;

    if ((state->start_press_ms | (uint32_t)input->start_request) != 0u) {
        const uint16_t before = state->start_press_ms;

        state->start_press_ms = mere_press(before, &state->start_let_go_ms, input->start_request, counts, moment,
                                           mission->rover.release_ms);
        if (mere_press_over(before, state->start_press_ms, input->start_request)) {
            moment->events |= MERE_EVENT_START_REFUSED;
        }
        if ((state->start_press_ms > mission->rover.reset_press_ms) && (state->start_press_ms < MERE_PRESS_DONE)) {
            state->start_press_ms = MERE_PRESS_DONE;
            moment->act = true;
        }
    }
    if (state->holds_to_run != 0u) {
        const bool pressed = (state->holds_to_run & ~(uint32_t)state->holds_run) == 0u;

        if (pressed != ((state->flags & MERE_FLAG_PRESSED) != 0u)) {
            moment->act = pressed;
            mere_set_flags(state, MERE_FLAG_PRESSED, pressed);
        }
    }
}

/* What the holds have against driving. */
static inline uint32_t mere_against_holds(const mere_state_t *state, bool under_way)
{
    const uint32_t stopped = (uint32_t)state->holds_all & ~(uint32_t)state->holds_run;
    const uint32_t untried = (uint32_t)state->holds_all & ~(uint32_t)state->tried;
    const uint32_t others = ~((uint32_t)state->holds_to_run | state->holds_emergency);
    uint32_t reasons = 0u;

    if (stopped != 0u) {
        reasons |= ((stopped & state->holds_emergency) != 0u) ? (uint32_t)MERE_EMERGENCY : 0u;
        reasons |= ((stopped & others) != 0u) ? (uint32_t)MERE_INTERLOCK_OPEN : 0u;
        reasons |= ((stopped & state->holds_to_run) != 0u) ? (uint32_t)MERE_RELEASED : 0u;
    }
    if ((state->latched | state->faults) != 0u) {
        reasons |= MERE_RESET_NEEDED;
        reasons |= (state->faults != 0u) ? (uint32_t)MERE_CHANNELS_DIFFER : 0u;
    }
    if (!under_way) {
        /* A hold-to-run is tried by the press that starts: until then it is released. */
        if ((untried & ~(uint32_t)state->holds_to_run) != 0u) {
            reasons |= MERE_UNTRIED;
        }
        if (((uint32_t)state->holds_to_run & state->holds_run & ~(uint32_t)state->opened) != 0u) {
            reasons |= MERE_LET_GO_FIRST;
        }
    }
    return reasons;
}

/* All holds, the reset and the operator's act. The contacts are gone through only when
 * one of them reads stop, is in stop, or was about to change: not while all is well. */
static inline void mere_take_holds(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                                   mere_moment_t *moment)
{
    const uint32_t reads_run = ~((uint32_t)input->hold_levels ^ state->holds_level) & state->holds_all;

    if (moment->late) { /* nobody saw whether it was pressed meanwhile */
        state->opened = (uint16_t)(state->opened & ~(uint32_t)state->holds_to_run);
    }
    if (((reads_run & state->holds_run) != state->holds_all) || (state->filtering != 0u)) {
        mere_contacts(mission, state, reads_run, moment);
    }
    state->holds_read = (uint16_t)reads_run;
    if ((state->reset_press_ms | (uint32_t)input->reset_request) != 0u) {
        mere_take_reset(mission, state, input, moment);
    }
    mere_take_act(mission, state, input, moment);
}

/* ------------------------------------------------------------------------
 * 11. Parts of the step (private)
 *
 * Private: not for firmware; may change between versions.
 * ------------------------------------------------------------------------ */

/* The seal of a state: changes with any one bit of what must not change by itself. */
static inline uint32_t mere_seal(const mere_state_t *state)
{
    const uint32_t where = (uint32_t)state->phase | ((uint32_t)state->flags << 8);
    const uint32_t stops = (uint32_t)state->latched | ((uint32_t)state->faults << 16);
    const uint32_t masks = (uint32_t)state->holds_all ^ ((uint32_t)state->holds_level << 16)
                           ^ ((uint32_t)state->holds_to_run << 8) ^ ((uint32_t)state->holds_emergency << 4);
    const uint32_t shift = (uint32_t)state->shift.east_mm ^ (uint32_t)state->shift.north_mm
                           ^ (uint32_t)state->shift.sine_q30 ^ (uint32_t)state->shift.cosine_q30;

    return ~(state->mission_word ^ where ^ ((uint32_t)state->leg << 16) ^ ((uint32_t)state->tried << 8) ^ stops ^ masks
             ^ shift);
}

/* Whether a state is one that mere_start or mere_step left. */
static inline bool mere_sound(const mere_state_t *state)
{
    return (state->format == (uint8_t)MERE_RECORD_FORMAT) && (state->seal == mere_seal(state))
           && (state->phase <= (uint8_t)MERE_FINISHED);
}

/* The first word of the plan's digest, by which states and memories know their mission. */
static inline uint32_t mere_mission_word(const mere_mission_t *mission)
{
    const uint8_t *digest = mission->record.digest;

    return (uint32_t)digest[0] | ((uint32_t)digest[1] << 8) | ((uint32_t)digest[2] << 16) | ((uint32_t)digest[3] << 24);
}

/* Whether the rover is, or may be, moved by the mission itself. */
static inline bool mere_under_way(const mere_state_t *state)
{
    return (state->phase == (uint8_t)MERE_DRIVING) || (state->phase == (uint8_t)MERE_COASTING)
           || (state->phase == (uint8_t)MERE_DWELLING);
}

/* Takes the leg's numbers for the last good fix. */
static inline void mere_look_along(const mere_mission_t *mission, mere_state_t *state)
{
    state->track = mere_track(&mission->legs[state->leg], state->at);
    if (state->track.along_mm > state->foremost_mm) {
        state->foremost_mm = state->track.along_mm;
    }
}

/* Turns to a leg, from where the last good fix was. */
static inline void mere_turn_to_leg(const mere_mission_t *mission, mere_state_t *state, uint16_t leg)
{
    const mere_leg_t *to = &mission->legs[leg];

    state->leg = leg;
    state->leg_bearing_cdeg = (uint16_t)mere_bearing(to->unit_east_q30, to->unit_north_q30);
    mere_set_flags(state, MERE_FLAG_CREEPING, false);
    state->track = mere_track(to, state->at);
    state->foremost_mm = state->track.along_mm;
}

/* A state as before any start, but for its format. */
static inline void mere_clear(mere_state_t *state)
{
    uint32_t i;

    state->time_ms = 0u;
    state->shift.east_mm = 0;
    state->shift.north_mm = 0;
    state->shift.sine_q30 = 0;
    state->shift.cosine_q30 = 0;
    state->flags = 0u;
    state->holds_run = 0u;
    state->holds_read = 0u;
    state->filtering = 0u;
    state->opened = 0u;
    state->tried = 0u;
    state->latched = 0u;
    state->reset_press_ms = 0u;
    state->start_press_ms = 0u;
    state->reset_let_go_ms = 0u;
    state->start_let_go_ms = 0u;
    /*@ loop variant MERE_MAX_HOLDS - i; */
    for (i = 0u; i < MERE_MAX_HOLDS; i++) {
        state->count_ms[i] = 0u;
        state->differ_ms[i / 2u] = 0u;
    }
    state->faults = 0u;
    state->parted = 0u;
    state->both_stopped = 0u;
}

/* The masks of a mission's hold table; returns those of the latched contacts. */
static inline uint32_t mere_mask_holds(const mere_mission_t *mission, mere_state_t *state)
{
    uint32_t all = 0u;
    uint32_t level = 0u;
    uint32_t to_run = 0u;
    uint32_t emergency = 0u;
    uint32_t latching = 0u;
    uint32_t i;

    /*@ loop variant 255 - i; */
    for (i = 0u; i < mission->hold_count; i++) {
        const mere_hold_t *hold = &mission->holds[i];
        const uint32_t bit = (uint32_t)1 << i;

        all |= bit;
        level |= (hold->run_level != 0u) ? bit : 0u;
        to_run |= (hold->kind == (uint8_t)MERE_HOLD_TO_RUN) ? bit : 0u;
        emergency |= (hold->kind == (uint8_t)MERE_EMERGENCY_STOP) ? bit : 0u;
        latching |= (hold->latched != 0u) ? bit : 0u;
    }
    state->holds_all = (uint16_t)all;
    state->holds_level = (uint16_t)level;
    state->holds_to_run = (uint16_t)to_run;
    state->holds_emergency = (uint16_t)emergency;
    return latching;
}

/* The two-channel circuits: bit i for channels 2 i and 2 i + 1. */
static inline uint32_t mere_pairs(const mere_mission_t *mission)
{
    uint32_t pairs = 0u;
    uint32_t i;

    /*@ loop variant 255 - i; */
    for (i = 1u; i < mission->hold_count; i += 2u) {
        pairs |= (mission->holds[i - 1u].two_channels != 0u) ? ((uint32_t)1 << (i / 2u)) : 0u;
    }
    return pairs;
}

/* Makes the state that of a mission: all of it, or what is of one mission alone. */
static inline void mere_take_on(const mere_mission_t *mission, mere_state_t *state)
{
    const bool sound = mere_sound(state);
    const bool same = sound && (state->mission_word == mere_mission_word(mission));
    const uint32_t faults = sound ? state->faults : 0u;
    const uint32_t stops = sound ? (state->latched | faults) : 0u;
    const bool unseen = sound && ((state->flags & MERE_FLAG_REFUSED) != 0u); /* stops were not, meanwhile */
    uint32_t latching;

    if (!same) {
        mere_clear(state);
    }
    latching = mere_mask_holds(mission, state);
    if (unseen) {
        state->latched = (uint16_t)(state->latched | latching);
        mere_set_flags(state, MERE_FLAG_CARRIED, true);
    }
    if (!same) {
        state->mission_word = mere_mission_word(mission);
        if (stops != 0u) {
            mere_set_flags(state, MERE_FLAG_CARRIED, true);
            state->latched = (uint16_t)((latching != 0u) ? latching : state->holds_all);
        }
        if (faults != 0u) {
            state->faults = (uint8_t)mere_pairs(mission);
        }
    }
}

/* The rover drives on: how far it comes is counted anew. */
static inline void mere_go_on(mere_state_t *state)
{
    state->phase = (uint8_t)MERE_DRIVING;
    state->foremost_mm = state->track.along_mm;
}

/* From here on the rover drives: what it rolls is counted anew, too. */
static inline void mere_set_off(mere_state_t *state)
{
    mere_go_on(state);
    state->rolled_um = 0u;
    state->rolled_from = state->at;
    mere_set_flags(state, MERE_FLAG_STANDS, false);
}

/* Time since the last step. The first step comes after none. */
static inline void mere_take_time(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                                  mere_moment_t *moment)
{
    if ((state->flags & MERE_FLAG_TIMED) != 0u) {
        moment->elapsed_ms = input->time_ms - state->time_ms;
        moment->late = moment->elapsed_ms > mission->rover.loop_ms;
        moment->reasons |= moment->late ? (uint32_t)MERE_LATE_STEP : 0u;
    } else {
        moment->late = true;
        mere_set_flags(state, MERE_FLAG_TIMED, true);
    }
    state->time_ms = input->time_ms;
    state->fix_age_ms = mere_add_up_to(state->fix_age_ms, moment->elapsed_ms, 0xFFFFFFFFu);
    state->told_age_ms = mere_add_up_to(state->told_age_ms, moment->elapsed_ms, 0xFFFFFFFFu);
    if (state->jumped_ms != 0u) {
        state->jumped_ms = (uint16_t)((state->jumped_ms > moment->elapsed_ms) ? (state->jumped_ms - moment->elapsed_ms) : 0u);
    }
    if (state->phase == (uint8_t)MERE_COASTING) {
        state->timer_ms = mere_add_up_to(state->timer_ms, moment->elapsed_ms, 0xFFFFFFFFu);
    }
}

/* The speed as measured, and what was rolled at it while driving and coasting.
 * Overflow: a time of up to 65535 ms; longer ones are late, and stop. */
static inline void mere_take_speed(mere_state_t *state, const mere_input_t *input, mere_moment_t *moment)
{
    moment->speed_mm_s = 0u;
    if (input->speed_known) {
        moment->speed_mm_s = (input->speed_mm_s > 65535u) ? 65535u : input->speed_mm_s;
        if ((moment->elapsed_ms <= 65535u)
            && ((state->phase == (uint8_t)MERE_DRIVING) || (state->phase == (uint8_t)MERE_COASTING))) {
            state->rolled_um = mere_add_up_to(state->rolled_um, moment->speed_mm_s * moment->elapsed_ms, 0xFFFFFFFFu);
        }
    }
}

/* Whether two points are further apart than a limit (< 2^31). Exact. Overflow:
 * differences < 2^27, sum of squares < 2^55. */
static inline bool mere_apart(mere_point_t a, mere_point_t b, uint32_t limit_mm)
{
    const int32_t east = a.east_mm - b.east_mm;
    const int32_t north = a.north_mm - b.north_mm;

    return mere_sum_of_products(east, east, north, north) > ((int64_t)limit_mm * (int64_t)limit_mm);
}

/* A fix that jumps: further from the last good one than the fastest of the rover's speeds
 * makes of the time between the two. Overflow: 65535 + 2^23, see mere_travel_mm. */
static inline bool mere_jumps(const mere_rover_t *rover, const mere_state_t *state, const mere_moment_t *moment,
                              mere_point_t at, uint32_t between_ms)
{
    uint32_t speed_mm_s = rover->coast_top_mm_s;

    if (!mere_apart(at, state->at, rover->jump_mm)) {
        return false; /* as near as at rest */
    }
    if (moment->speed_mm_s > speed_mm_s) {
        speed_mm_s = moment->speed_mm_s;
    }
    if ((!mere_under_way(state)) && (speed_mm_s < MERE_PUSHED_MM_S)) {
        speed_mm_s = MERE_PUSHED_MM_S;
    }
    return mere_apart(at, state->at, mere_travel_mm(speed_mm_s, (between_ms > 65535u) ? 65535u : between_ms) + rover->jump_mm);
}

/* Whether the fix stands still while the wheels turn: looked at with each good fix. */
static inline void mere_look_at_wheels(const mere_rover_t *rover, mere_state_t *state)
{
    if (mere_apart(state->at, state->rolled_from, (uint32_t)rover->stands_mm / 2u)) {
        state->rolled_from = state->at;
        state->rolled_um = 0u;
        mere_set_flags(state, MERE_FLAG_STANDS, false);
    } else if (state->rolled_um > ((uint32_t)rover->stands_mm * 1000u)) {
        mere_set_flags(state, MERE_FLAG_STANDS, true);
    } else {
        /* not yet to be told */
    }
}

/* Takes a good fix, whose age is that beyond latency_ms. */
static inline void mere_take_place(const mere_mission_t *mission, mere_state_t *state, mere_moment_t *moment,
                                   mere_point_t at, uint32_t age_ms)
{
    if ((state->flags & MERE_FLAG_PLACED) == 0u) {
        state->rolled_from = at;
        state->rolled_um = 0u;
    } else if (mere_jumps(&mission->rover, state, moment, at, state->fix_age_ms - age_ms)) {
        state->jumped_ms = mission->rover.stale_after_ms;
    } else {
        /* where it may be */
    }
    state->flags = (uint16_t)((state->flags | MERE_FLAG_LOCATED | MERE_FLAG_PLACED) & ~(MERE_FLAG_ASTRAY | MERE_FLAG_POOR));
    moment->fix_taken = true;
    state->at = at;
    state->fix_age_ms = age_ms;
    state->margin_mm = mere_fence_margin(&mission->fence, at);
    mere_look_along(mission, state);
    mere_look_at_wheels(&mission->rover, state);
}

/* Takes a fix, if there is a new one that can be used. */
static inline void mere_take_fix(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                                 mere_moment_t *moment)
{
    mere_point_t at = { 0, 0 };
    uint32_t age_ms = 0u;

    if (!input->fix_new) {
        return;
    }
    if (input->fix_age_ms > mission->rover.latency_ms) {
        age_ms = input->fix_age_ms - mission->rover.latency_ms;
    }
    if ((input->quality < mission->rover.required_quality) || (input->quality > (uint8_t)MERE_QUALITY_FIXED)) {
        mere_set_flags(state, MERE_FLAG_POOR, true);
    } else if ((age_ms > mission->rover.stale_after_ms) || ((age_ms > 0u) && ((age_ms + 2u) >= state->fix_age_ms))
               || ((input->fix_age_ms > 0u) && ((input->fix_age_ms + 2u) >= state->told_age_ms))) {
        mere_set_flags(state, MERE_FLAG_POOR, false); /* too late, or told before: as if none had come */
    } else if (!mere_local_from_fix(&mission->conversion, input->latitude_ndeg, input->longitude_ndeg, &at)) {
        mere_set_flags(state, MERE_FLAG_ASTRAY, true);
        mere_set_flags(state, MERE_FLAG_LOCATED | MERE_FLAG_POOR, false);
    } else {
        if (input->fix_age_ms > 0u) {
            state->told_age_ms = input->fix_age_ms;
        }
        mere_take_place(mission, state, moment, mere_shifted(&state->shift, at), age_ms);
    }
}

/* Takes the bearing to steer, from where the last good fix was. */
static inline void mere_aim(const mere_mission_t *mission, mere_state_t *state)
{
    state->bearing_cdeg = (uint16_t)mere_steer_along(state->leg_bearing_cdeg, state->track, mission->rover.look_ahead_mm);
}

/* The end of a leg where the rover does not stop: the next leg, at once. Then the
 * bearing to steer. */
static inline void mere_follow(const mere_mission_t *mission, mere_state_t *state, mere_moment_t *moment)
{
    const mere_leg_t *leg = &mission->legs[state->leg];

    if ((state->phase == (uint8_t)MERE_DRIVING) && (state->jumped_ms == 0u) && (leg[1].dwell == (uint16_t)MERE_PASS_THROUGH)
        && (state->leg < (mission->leg_count - 1u)) && (mere_arrival(leg, state->at, state->track) == MERE_ARRIVED)) {
        moment->events |= MERE_EVENT_ARRIVED;
        mere_turn_to_leg(mission, state, (uint16_t)(state->leg + 1u));
    }
    mere_aim(mission, state);
}

/* Whether the end of a leg was passed outside its tolerance: where the rover stops there,
 * being abeam within it is not enough. */
static inline bool mere_passed_by(const mere_leg_t *leg, mere_point_t at, mere_track_t track)
{
    bool passed = track.to_go_mm <= 0;

    if (passed && (leg[1].dwell == (uint16_t)MERE_PASS_THROUGH)) {
        passed = mere_magnitude(track.cross_mm) > leg[1].tolerance_mm;
    }
    return passed && (!mere_within(at, &leg[1], leg[1].tolerance_mm));
}

/* What is against the place on the leg. */
static inline uint32_t mere_against_place(const mere_mission_t *mission, const mere_state_t *state)
{
    const mere_leg_t *leg = &mission->legs[state->leg];
    const mere_rover_t *rover = &mission->rover;
    const bool rolling = (state->phase == (uint8_t)MERE_DRIVING) || (state->phase == (uint8_t)MERE_COASTING);
    uint32_t reasons = 0u;

    if ((state->flags & MERE_FLAG_BEGUN) == 0u) {
        reasons |= mere_within(state->at, leg, leg->tolerance_mm) ? 0u : (uint32_t)MERE_NOT_AT_START;
    } else {
        const uint32_t allowed = (state->track.along_mm < (int32_t)leg->join_mm) ? leg->join_cross_mm : rover->cross_track_mm;
        const bool rolls_out = state->phase == (uint8_t)MERE_COASTING;
        const int32_t behind_mm = (int32_t)leg->tolerance_mm + (int32_t)rover->jump_mm + (int32_t)rover->retreat_mm;

        if (((mere_magnitude(state->track.cross_mm) > allowed)
             && !(rolls_out && mere_within(state->at, &leg[1], leg[1].tolerance_mm)))
            || (state->track.along_mm < -behind_mm)) {
            reasons |= MERE_OFF_LINE;
        }
        if (rolling && (state->track.along_mm < (state->foremost_mm - (int32_t)rover->retreat_mm))) {
            reasons |= MERE_WRONG_WAY;
        }
        if ((!rolls_out) && mere_passed_by(leg, state->at, state->track)) {
            reasons |= MERE_PASSED_BY;
        }
    }
    if (rolling && ((state->flags & MERE_FLAG_STANDS) != 0u)) {
        reasons |= MERE_FIX_STANDS;
    }
    return reasons;
}

/* What is against resting where it does: at the start of the next leg while it dwells, at
 * the end of the last when it has finished. */
static inline uint32_t mere_against_rest(const mere_mission_t *mission, const mere_state_t *state)
{
    const mere_leg_t *leg = &mission->legs[state->leg];
    const mere_leg_t *at = (state->phase == (uint8_t)MERE_FINISHED) ? &leg[1] : leg;
    const mere_point_t mark = { at->east_mm, at->north_mm };

    return mere_apart(state->at, mark, (uint32_t)at->tolerance_mm + mission->rover.jump_mm) ? (uint32_t)MERE_NOT_AT_REST : 0u;
}

/* May this leg be driven from here at this speed? Starting, departing, driving and
 * going on all ask this, with the speed that the rover may come to. */
static inline uint32_t mere_against_leg(const mere_mission_t *mission, const mere_state_t *state, uint32_t stopping_mm)
{
    uint32_t reasons = 0u;

    if ((mission->rover.shift_needed != 0u) && (state->shift.cosine_q30 == 0)) {
        reasons |= MERE_NO_SHIFT;
    }
    if ((state->flags & MERE_FLAG_LOCATED) == 0u) {
        return reasons | (((state->flags & MERE_FLAG_ASTRAY) != 0u) ? (uint32_t)MERE_OUT_OF_DOMAIN : (uint32_t)MERE_NO_FIX);
    }
    if (state->fix_age_ms > mission->rover.stale_after_ms) {
        reasons |= ((state->flags & MERE_FLAG_POOR) != 0u) ? (uint32_t)MERE_POOR_FIX : (uint32_t)MERE_STALE_FIX;
    }
    if (state->jumped_ms != 0u) {
        reasons |= MERE_FIX_JUMPED;
    }
    if (state->margin_mm < 0) {
        reasons |= MERE_OUTSIDE_FENCE;
    } else if (mere_too_near(&mission->rover, &mission->legs[state->leg], (uint32_t)state->margin_mm, stopping_mm)) {
        reasons |= MERE_FENCE_NEAR;
    } else {
        /* room enough */
    }
    if (state->phase != (uint8_t)MERE_FINISHED) {
        reasons |= mere_against_place(mission, state);
    }
    if (state->phase >= (uint8_t)MERE_DWELLING) {
        reasons |= mere_against_rest(mission, state);
    }
    return reasons;
}

/* Way to rest at the fastest that the rover may come to: while the drive may be powered
 * that is no less than the leg's speed, until a cut takes effect. */
static inline uint32_t mere_way_to_rest(const mere_mission_t *mission, const mere_state_t *state,
                                        const mere_input_t *input, uint32_t speed_mm_s)
{
    const mere_leg_t *leg = &mission->legs[state->leg];
    const bool rolls_out = input->speed_known && (state->phase == (uint8_t)MERE_COASTING)
                           && (state->timer_ms < mission->rover.settle_ms);
    uint32_t fastest_mm_s = speed_mm_s;
    uint32_t age_ms = state->fix_age_ms;

    if ((!rolls_out) && (fastest_mm_s < leg->speed_mm_s)) {
        fastest_mm_s = leg->speed_mm_s;
    }
    if (age_ms > mission->rover.stale_after_ms) {
        age_ms = mission->rover.stale_after_ms;
    }
    return mere_stopping_mm(&mission->rover, leg, fastest_mm_s, age_ms);
}

/* Whether to cut the drive now, to come to rest on the mark: never further from it than the
 * way to rest at most, and the tolerance. Creeping up without a measured speed, the one that
 * it has come to is not known: then where it enters the tolerance, or abeam. */
static inline bool mere_cuts(const mere_mission_t *mission, const mere_state_t *state, const mere_input_t *input,
                             const mere_moment_t *moment)
{
    const mere_leg_t *leg = &mission->legs[state->leg];
    const bool creeping = (state->flags & MERE_FLAG_CREEPING) != 0u;
    const uint32_t nearest_mm = moment->stopping_mm + leg[1].tolerance_mm;
    uint32_t cut_mm = 0u;

    if ((leg[1].dwell == (uint16_t)MERE_PASS_THROUGH) || (state->track.to_go_mm > (int32_t)nearest_mm)) {
        return false;
    }
    if ((!creeping) || input->speed_known) {
        cut_mm = mere_cut_mm(&mission->rover, leg, input->speed_known ? moment->speed_mm_s : leg->speed_mm_s,
                             state->fix_age_ms);
    }
    return (state->track.to_go_mm <= (int32_t)cut_mm) || (creeping && mere_within(state->at, &leg[1], leg[1].tolerance_mm));
}

/* What a fix shows of a rover at rest; kept in the state's look. */
static const uint8_t MERE_LOOK_NONE = 0u;
static const uint8_t MERE_LOOK_WITHIN = 1u;
static const uint8_t MERE_LOOK_SHORT = 2u;
static const uint8_t MERE_LOOK_BEYOND = 3u;

/* Looks where the rover has come to rest: MERE_LOOK_NONE until two fixes in a row that hold
 * for instants after it agree. */
static inline uint8_t mere_look(const mere_mission_t *mission, mere_state_t *state, const mere_moment_t *moment)
{
    const mere_leg_t *end = &mission->legs[state->leg + 1u];
    const uint32_t rest_ms = (uint32_t)mission->rover.settle_ms + mission->rover.latency_ms + state->fix_age_ms;
    uint8_t agreed = MERE_LOOK_NONE;

    if (moment->fix_taken && (state->timer_ms >= rest_ms)) {
        uint8_t seen = MERE_LOOK_BEYOND;

        if (mere_within(state->at, end, end->tolerance_mm)) {
            seen = MERE_LOOK_WITHIN;
        } else if (state->track.to_go_mm > 0) {
            seen = MERE_LOOK_SHORT;
        } else {
            /* at the mark or beyond */
        }
        agreed = (seen == state->look) ? seen : MERE_LOOK_NONE;
        state->look = seen;
    }
    return agreed;
}

/* What was under way is stopped: remembers why. */
static inline void mere_put_off(mere_state_t *state, uint32_t reasons)
{
    mere_set_flags(state, MERE_FLAG_DWELLS, state->phase == (uint8_t)MERE_DWELLING);
    mere_set_flags(state, MERE_FLAG_CREEPING, false);
    state->phase = (uint8_t)MERE_STOPPED;
    state->stopped_by = reasons;
}

/* Stops, and tells. */
static inline void mere_stop(mere_state_t *state, mere_moment_t *moment)
{
    moment->events |= MERE_EVENT_STOPPED;
    if ((moment->reasons & MERE_PASSED_BY) != 0u) {
        moment->events |= MERE_EVENT_MISSED;
    }
    mere_put_off(state, moment->reasons);
}

/* Dwells at the start of the leg. */
static inline void mere_dwell(const mere_mission_t *mission, mere_state_t *state)
{
    state->phase = (uint8_t)MERE_DWELLING;
    state->timer_ms = (uint32_t)mission->legs[state->leg].dwell * mission->rover.dwell_unit_ms;
}

/* At rest within the tolerance: the last waypoint, or the next leg once it has dwelt. */
static inline void mere_arrive(const mere_mission_t *mission, mere_state_t *state, mere_moment_t *moment)
{
    moment->events |= MERE_EVENT_ARRIVED;
    if (state->leg >= (mission->leg_count - 1u)) {
        state->phase = (uint8_t)MERE_FINISHED;
        moment->events |= MERE_EVENT_FINISHED;
    } else {
        mere_turn_to_leg(mission, state, (uint16_t)(state->leg + 1u));
        mere_aim(mission, state);
        mere_dwell(mission, state);
    }
}

/* Coasting without a reason: until the rover was seen at rest. */
static inline void mere_roll_out(const mere_mission_t *mission, mere_state_t *state, mere_moment_t *moment)
{
    const uint8_t seen = mere_look(mission, state, moment);

    if (seen == MERE_LOOK_WITHIN) {
        mere_arrive(mission, state, moment);
    } else if ((seen == MERE_LOOK_SHORT) && (state->filtering == 0u)) {
        moment->events |= MERE_EVENT_SHORT;
        mere_go_on(state);
        mere_set_flags(state, MERE_FLAG_CREEPING, true);
    } else if (seen == MERE_LOOK_BEYOND) {
        moment->reasons |= MERE_PASSED_BY;
        mere_stop(state, moment);
    } else {
        /* not yet, or a hold may be about to stop */
    }
}

/* Stopped or waiting: whether the operator's act starts. It uses up that the hold-to-run
 * circuits were let go, whatever comes of it. */
static inline void mere_await_act(const mere_mission_t *mission, mere_state_t *state, mere_moment_t *moment)
{
    const uint32_t awaited = (uint32_t)MERE_RELEASED | (uint32_t)MERE_LET_GO_FIRST;

    state->phase = (uint8_t)(((moment->reasons & ~awaited) != 0u) ? MERE_STOPPED : MERE_WAITING);
    if (moment->act && (moment->reasons == 0u) && (state->filtering == 0u) && (!moment->late)
        && ((moment->events & MERE_EVENT_RESET) == 0u)) {
        moment->act = false;
        moment->events |= MERE_EVENT_STARTED;
        state->opened = 0u;
        mere_set_flags(state, MERE_FLAG_BEGUN, true);
        if (((state->flags & MERE_FLAG_DWELLS) != 0u) && (mere_against_rest(mission, state) == 0u)) {
            mere_dwell(mission, state);
        } else {
            mere_set_off(state);
        }
        mere_set_flags(state, MERE_FLAG_DWELLS, false);
    }
}

/* Finished: the drive stays off. A stop is told all the same. */
static inline void mere_stay_finished(mere_state_t *state, mere_moment_t *moment)
{
    const uint32_t stops = moment->reasons & ((uint32_t)MERE_EMERGENCY | (uint32_t)MERE_CHANNELS_DIFFER
                                              | (uint32_t)MERE_INTERLOCK_OPEN | (uint32_t)MERE_NOT_AT_REST);

    if ((stops != 0u) && ((state->flags & MERE_FLAG_TOLD) == 0u)) {
        moment->events |= MERE_EVENT_STOPPED;
        state->stopped_by = moment->reasons;
    }
    mere_set_flags(state, MERE_FLAG_TOLD, stops != 0u);
}

/* Moves the state on. */
static inline void mere_move_on(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                                mere_moment_t *moment)
{
    if (mere_under_way(state) && (moment->reasons != 0u)) {
        mere_stop(state, moment);
    } else if (state->phase == (uint8_t)MERE_DRIVING) {
        if (mere_cuts(mission, state, input, moment)) {
            state->phase = (uint8_t)MERE_COASTING;
            state->timer_ms = 0u;
            state->look = MERE_LOOK_NONE;
            moment->events |= MERE_EVENT_CUT;
        }
    } else if (state->phase == (uint8_t)MERE_COASTING) {
        mere_roll_out(mission, state, moment);
    } else if (state->phase == (uint8_t)MERE_DWELLING) {
        if (state->timer_ms > moment->elapsed_ms) {
            state->timer_ms -= moment->elapsed_ms;
        } else if (state->filtering == 0u) {
            mere_set_off(state);
            moment->events |= MERE_EVENT_DEPARTED;
        } else {
            /* a hold may be about to stop */
        }
    } else if (state->phase == (uint8_t)MERE_FINISHED) {
        mere_stay_finished(state, moment);
    } else {
        mere_await_act(mission, state, moment);
    }
    if (moment->act) {
        moment->events |= MERE_EVENT_START_REFUSED;
        state->opened = (uint16_t)(state->opened & ~(uint32_t)state->holds_to_run);
    }
}

/* How far the mission has come on its leg: mere_progress_t. */
static inline uint32_t mere_progress(const mere_state_t *state)
{
    uint32_t progress = (uint32_t)MERE_NOT_BEGUN;

    if (state->phase == (uint8_t)MERE_FINISHED) {
        progress = (uint32_t)MERE_ENDED;
    } else if ((state->flags & MERE_FLAG_BEGUN) != 0u) {
        progress = (uint32_t)MERE_BEGUN;
    } else {
        /* at its start */
    }
    return progress;
}

/* What a memory holds of a state that may change in a step, for seeing whether it has; that
 * the mission has ended comes with an event. */
static inline uint32_t mere_kept(const mere_state_t *state)
{
    return (uint32_t)state->leg | ((uint32_t)state->latched << 16);
}

static inline uint32_t mere_kept_too(const mere_state_t *state)
{
    return (uint32_t)state->tried | ((uint32_t)state->faults << 16) | ((state->flags & MERE_FLAG_BEGUN) << 24);
}

/* Check word of a memory. With each word in turn, a change of it alone changes the result:
 * xor and a product with an odd number are each one-to-one (FNV-1a, a word at a time). */
static inline uint32_t mere_memory_check(const mere_memory_t *memory)
{
    uint32_t sum = 0x811C9DC5u;

    sum = (sum ^ memory->mission_word) * 0x01000193u;
    sum = (sum ^ memory->day) * 0x01000193u;
    sum = (sum ^ ((uint32_t)memory->leg | ((uint32_t)memory->latched << 16))) * 0x01000193u;
    sum = (sum ^ ((uint32_t)memory->tried | ((uint32_t)memory->faults << 16) | ((uint32_t)memory->progress << 24))) * 0x01000193u;
    return sum;
}

/* Writes the output. The one place where the drive is enabled. */
static inline void mere_report(const mere_mission_t *mission, const mere_state_t *state, const mere_input_t *input,
                               const mere_moment_t *moment, mere_output_t *output)
{
    const bool driving = (state->phase == (uint8_t)MERE_DRIVING) && (moment->reasons == 0u);

    output->drive_enable = driving;
    output->located = (state->flags & MERE_FLAG_LOCATED) != 0u;
    output->turn_known = input->heading_known && (input->heading_cdeg < 36000u);
    output->phase = (mere_phase_t)state->phase;
    output->reasons = moment->reasons;
    output->stopped_by = state->stopped_by;
    output->events = moment->events;
    output->at = state->at;
    output->track = state->track;
    output->margin_mm = state->margin_mm;
    output->stopping_mm = moment->stopping_mm;
    output->fix_age_ms = state->fix_age_ms;
    output->turn_cdeg = output->turn_known ? mere_turn(state->bearing_cdeg, input->heading_cdeg) : 0;
    output->bearing_cdeg = state->bearing_cdeg;
    output->speed_limit_mm_s = driving ? mission->legs[state->leg].speed_mm_s : (uint16_t)0u;
    output->leg = state->leg;
    output->holds_run = state->holds_run;
    output->untried = (uint16_t)(state->holds_all & ~(uint32_t)state->tried);
}

/* Why a step cannot be one, or 0. */
static inline uint32_t mere_against_step(const mere_mission_t *mission, const mere_state_t *state, const mere_input_t *input)
{
    if ((mission == 0) || (state == 0) || (input == 0)) {
        return MERE_BAD_MISSION;
    }
    if ((state->format != (uint8_t)MERE_RECORD_FORMAT) || ((state->flags & MERE_FLAG_REFUSED) != 0u)
        || (state->mission_word != mere_mission_word(mission))) {
        return MERE_BAD_MISSION;
    }
    return mere_sound(state) ? 0u : (uint32_t)MERE_BAD_STATE;
}

/* A step that cannot be one: what was under way takes an act to go on, and a damaged state
 * stays one although the bit comes back. */
static inline void mere_halt(mere_state_t *state, uint32_t reason)
{
    if (state == 0) {
        return;
    }
    if (!mere_sound(state)) {
        state->seal = ~mere_seal(state);
    } else if (mere_under_way(state)) {
        mere_put_off(state, reason);
        state->seal = mere_seal(state);
    } else {
        /* the drive is off */
    }
}

/* A step that only says why it does not drive. */
static inline void mere_report_nothing(uint32_t reason, mere_output_t *output)
{
    output->drive_enable = false;
    output->located = false;
    output->turn_known = false;
    output->memory_due = false;
    output->phase = MERE_STOPPED;
    output->reasons = reason;
    output->stopped_by = reason;
    output->events = 0u;
    output->at.east_mm = 0;
    output->at.north_mm = 0;
    output->track.along_mm = 0;
    output->track.cross_mm = 0;
    output->track.to_go_mm = 0;
    output->margin_mm = -1;
    output->stopping_mm = 0u;
    output->fix_age_ms = 0xFFFFFFFFu;
    output->turn_cdeg = 0;
    output->bearing_cdeg = 0u;
    output->speed_limit_mm_s = 0u;
    output->leg = 0u;
    output->holds_run = 0u;
    output->untried = 0u;
}

/* ------------------------------------------------------------------------
 * 12. Definitions
 *
 * Of the functions of section "Functions", in that order. What they promise is said
 * there; here is how they keep it.
 * ------------------------------------------------------------------------ */

/* The record is read through a volatile access: so it is in every firmware that
 * starts the mission, whatever the compiler and the linker leave out. */
static inline bool mere_start(const mere_mission_t *mission, mere_state_t *state, uint16_t leg)
{
    if (state == 0) {
        return false;
    }
    if (mission != 0) {
        const volatile uint8_t *format = &mission->record.format;

        if ((*format == (uint8_t)MERE_RECORD_FORMAT) && (leg < mission->leg_count) && (mission->hold_count <= MERE_MAX_HOLDS)) {
            const bool moved = mere_sound(state) && ((state->leg != leg) || (mere_progress(state) != (uint32_t)MERE_NOT_BEGUN));

            mere_take_on(mission, state);
            state->fix_age_ms = 0xFFFFFFFFu;
            state->told_age_ms = 0xFFFFFFFFu;
            state->timer_ms = 0u;
            state->rolled_um = 0u;
            state->at.east_mm = 0;
            state->at.north_mm = 0;
            state->rolled_from = state->at;
            state->margin_mm = -1;
            state->stopped_by = 0u;
            state->jumped_ms = 0u;
            state->look = MERE_LOOK_NONE;
            state->phase = (uint8_t)MERE_STOPPED;
            state->format = MERE_RECORD_FORMAT;
            state->flags = (uint16_t)(state->flags & (MERE_FLAG_TIMED | MERE_FLAG_PRESSED | MERE_FLAG_CARRIED));
            state->opened = (uint16_t)(state->opened & ~(uint32_t)state->holds_to_run);
            state->reset_press_ms = mere_spent(state->reset_press_ms);
            state->start_press_ms = mere_spent(state->start_press_ms);
            mere_set_flags(state, MERE_FLAG_CARRIED, moved || ((state->flags & MERE_FLAG_CARRIED) != 0u));
            mere_turn_to_leg(mission, state, leg);
            state->bearing_cdeg = state->leg_bearing_cdeg;
            state->seal = mere_seal(state);
            return true;
        }
    }
    if (mere_sound(state)) {
        state->phase = (uint8_t)MERE_STOPPED;
        mere_set_flags(state, MERE_FLAG_REFUSED, true);
        state->seal = mere_seal(state);
    } else {
        state->format = 0u;
    }
    return false;
}

/* cos = 1 - s^2/2 - s^4/8 - ..., the rest below 2e-12; within 1.6 * 2^-30. */
static inline bool mere_set_shift(const mere_mission_t *mission, mere_state_t *state, const mere_site_shift_t *shift)
{
    int32_t limit_mm;
    int64_t square_q60;
    uint64_t half_square_q30;
    uint64_t rotation_cosine_q30;
    uint32_t differing = 0u;
    uint32_t i;

    if ((mission == 0) || (state == 0) || (shift == 0)) {
        return false;
    }
    /*@ loop variant 32 - i; */
    for (i = 0u; i < sizeof(shift->digest); i++) {
        differing |= (uint32_t)shift->digest[i] ^ (uint32_t)mission->record.digest[i];
    }
    if ((!mere_sound(state)) || mere_under_way(state) || (differing != 0u)
        || (state->mission_word != mere_mission_word(mission))) {
        return false;
    }
    limit_mm = (int32_t)mission->rover.max_shift_mm;
    if ((shift->east_mm < -limit_mm) || (shift->east_mm > limit_mm) || (shift->north_mm < -limit_mm)
        || (shift->north_mm > limit_mm) || (shift->sine_q30 < -MERE_MAX_ROTATION_Q30)
        || (shift->sine_q30 > MERE_MAX_ROTATION_Q30)) {
        return false;
    }
    square_q60 = (int64_t)shift->sine_q30 * (int64_t)shift->sine_q30;
    half_square_q30 = ((uint64_t)square_q60 + 0x40000000u) >> 31;
    state->shift.east_mm = shift->east_mm;
    state->shift.north_mm = shift->north_mm;
    state->shift.sine_q30 = shift->sine_q30;
    rotation_cosine_q30 = 0x40000000u - half_square_q30 - ((half_square_q30 * half_square_q30) >> 31);
    state->shift.cosine_q30 = (int32_t)rotation_cosine_q30;
    mere_set_flags(state, MERE_FLAG_LOCATED | MERE_FLAG_PLACED | MERE_FLAG_ASTRAY, false);
    state->seal = mere_seal(state);
    return true;
}

static inline bool mere_clear_shift(mere_state_t *state)
{
    if (state == 0) {
        return false;
    }
    if ((!mere_sound(state)) || mere_under_way(state)) {
        return false;
    }
    state->shift.east_mm = 0;
    state->shift.north_mm = 0;
    state->shift.sine_q30 = 0;
    state->shift.cosine_q30 = 0;
    mere_set_flags(state, MERE_FLAG_LOCATED | MERE_FLAG_PLACED | MERE_FLAG_ASTRAY, false);
    state->seal = mere_seal(state);
    return true;
}

static inline bool mere_remember(const mere_state_t *state, uint32_t day, mere_memory_t *memory)
{
    if ((state == 0) || (memory == 0)) {
        return false;
    }
    if (!mere_sound(state)) {
        return false;
    }
    memory->mission_word = state->mission_word;
    memory->day = day;
    memory->leg = state->leg;
    memory->latched = state->latched;
    memory->tried = state->tried;
    memory->faults = state->faults;
    memory->progress = (uint8_t)mere_progress(state);
    memory->check = mere_memory_check(memory);
    return true;
}

static inline bool mere_recall(const mere_mission_t *mission, mere_state_t *state, const mere_memory_t *memory,
                               uint32_t day)
{
    if ((mission == 0) || (state == 0) || (memory == 0)) {
        return false;
    }
    if ((!mere_sound(state)) || mere_under_way(state) || (state->mission_word != mere_mission_word(mission))
        || (memory->mission_word != state->mission_word) || (memory->check != mere_memory_check(memory))
        || (memory->leg >= mission->leg_count) || (memory->progress > (uint8_t)MERE_ENDED)) {
        return false;
    }
    state->latched = (uint16_t)(state->latched | (memory->latched & state->holds_all));
    state->faults = (uint8_t)(state->faults | (memory->faults & mere_pairs(mission)));
    state->both_stopped = (uint8_t)(state->both_stopped & ~(uint32_t)state->faults);
    if ((day != 0u) && (day == memory->day)) {
        state->tried = (uint16_t)(state->tried | (memory->tried & state->holds_all));
    }
    state->phase = (uint8_t)((memory->progress == (uint8_t)MERE_ENDED) ? MERE_FINISHED : MERE_STOPPED);
    mere_set_flags(state, MERE_FLAG_LOCATED | MERE_FLAG_PLACED | MERE_FLAG_ASTRAY | MERE_FLAG_DWELLS, false);
    mere_set_flags(state, MERE_FLAG_BEGUN, memory->progress != (uint8_t)MERE_NOT_BEGUN);
    mere_turn_to_leg(mission, state, memory->leg);
    state->bearing_cdeg = state->leg_bearing_cdeg;
    state->seal = mere_seal(state);
    return true;
}

static inline void mere_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                             mere_output_t *output)
{
    mere_moment_t moment;
    uint32_t kept;
    uint32_t kept_too;
    bool carried;

    if (output == 0) {
        return;
    }
    moment.reasons = mere_against_step(mission, state, input);
    if ((moment.reasons != 0u) || (state->leg >= mission->leg_count)) {
        const uint32_t reason = (moment.reasons != 0u) ? moment.reasons : (uint32_t)MERE_BAD_STATE;

        mere_halt(state, reason);
        mere_report_nothing(reason, output);
        return;
    }
    moment.elapsed_ms = 0u;
    moment.events = 0u;
    moment.late = false;
    moment.act = false;
    moment.fix_taken = false;
    kept = mere_kept(state);
    kept_too = mere_kept_too(state);
    carried = (state->flags & MERE_FLAG_CARRIED) != 0u;
    mere_set_flags(state, MERE_FLAG_CARRIED, false);

    mere_take_time(mission, state, input, &moment);
    mere_take_speed(state, input, &moment);
    mere_take_holds(mission, state, input, &moment);
    mere_take_fix(mission, state, input, &moment);
    if (moment.fix_taken) {
        mere_follow(mission, state, &moment);
    }

    moment.stopping_mm = mere_way_to_rest(mission, state, input, moment.speed_mm_s);
    moment.reasons |= mere_against_holds(state, mere_under_way(state));
    moment.reasons |= mere_against_leg(mission, state, moment.stopping_mm);

    mere_move_on(mission, state, input, &moment);

    state->seal = mere_seal(state);
    mere_report(mission, state, input, &moment, output);
    output->memory_due = (kept != mere_kept(state)) || (kept_too != mere_kept_too(state)) || carried
                         || ((moment.events & MERE_EVENT_FINISHED) != 0u);
}

static inline const char *mere_reason_text(uint32_t reasons)
{
    static const char *const texts[MERE_REASON_COUNT] = {
        "not started, or another mission",
        "state damaged",
        "emergency stop",
        "channels of a hold differ",
        "interlock open",
        "reset needed",
        "start-up test of the holds not done",
        "hold-to-run released",
        "hold-to-run to be let go first",
        "step called too late",
        "no site shift of this plan",
        "outside the fence",
        "too near the fence",
        "fix far from the site",
        "no good fix yet",
        "fix too old",
        "fix quality too low for too long",
        "fix jumped",
        "fix stands still, wheels turn",
        "too far from the line",
        "moving away from the waypoint",
        "waypoint missed",
        "not at the start",
        "moved away from its resting place"
    };
    uint32_t i;

    /*@ loop variant MERE_REASON_COUNT - i; */
    for (i = 0u; i < MERE_REASON_COUNT; i++) {
        if (((reasons >> i) & 1u) != 0u) {
            return texts[i];
        }
    }
    return "none";
}

static inline uint8_t mere_quality_from_gga(uint8_t digit)
{
    static const uint8_t qualities[10] = {
        MERE_QUALITY_NONE, MERE_QUALITY_STANDALONE, MERE_QUALITY_DIFFERENTIAL, MERE_QUALITY_STANDALONE,
        MERE_QUALITY_FIXED, MERE_QUALITY_FLOAT, MERE_QUALITY_NONE, MERE_QUALITY_NONE, MERE_QUALITY_NONE,
        MERE_QUALITY_NONE
    };

    return (digit < 10u) ? qualities[digit] : (uint8_t)MERE_QUALITY_NONE;
}

/* With u, v the latitude and longitude less those of the origin in nanodegrees
 * and w = v^2 / 2^32:
 *
 *     east  = v (e0 + e1 u + e2 u^2 + e3 u^3 + w (e4 + e5 u))
 *     north = u (n0 + n1 u + n2 u^2) + w (n3 + n4 u + n5 u^2 + n6 w)
 *
 * which are the leading terms of the exact conversion (WGS 84 to topocentric, as
 * in IOGP Guidance Note 7-2, method 9837, at the height of the origin): east is
 * odd in v, north even. Coefficients are scaled by 2^32 for each u or w that
 * follows, so that each product is one mere_high, and by 2^(32 + shift) in the
 * end.
 *
 * The mission compiler proved bound_um: terms left out by interval arithmetic on the
 * Taylor series and its remainder, coefficients by their exact rounding, products by
 * counting each rounding. Overflow: the compiler walked through these lines with
 * intervals in place of numbers; sums stay in 32 bits, the two last products in 63. */
static inline bool mere_local_from_fix(const mere_conversion_t *conversion, int64_t latitude_ndeg,
                                       int64_t longitude_ndeg, mere_point_t *at)
{
    /* In unsigned arithmetic the differences cannot overflow, and what is south
     * or west of the domain becomes a large number. */
    const uint64_t northing = (uint64_t)latitude_ndeg - (uint64_t)conversion->south_ndeg;
    uint64_t easting = (uint64_t)longitude_ndeg - (uint64_t)conversion->west_ndeg;
    int32_t u;
    int32_t v;
    int32_t w;
    int32_t by_east;
    int32_t by_north;
    int32_t by_square;

    if (easting > conversion->longitude_span_ndeg) {
        easting += 360000000000u; /* a domain across the meridian of 180 degrees */
    }
    if ((northing > conversion->latitude_span_ndeg) || (easting > conversion->longitude_span_ndeg)) {
        return false;
    }
    u = (int32_t)northing + conversion->south_from_origin_ndeg;
    v = (int32_t)easting + conversion->west_from_origin_ndeg;
    w = mere_high(v, v);

    by_east = conversion->east[2] + mere_high(conversion->east[3], u);
    by_east = conversion->east[1] + mere_high(by_east, u);
    by_east = conversion->east[0] + mere_high(by_east, u);
    by_square = conversion->east[4] + mere_high(conversion->east[5], u);
    by_east += mere_high(by_square, w);

    by_north = conversion->north[1] + mere_high(conversion->north[2], u);
    by_north = conversion->north[0] + mere_high(by_north, u);
    by_square = conversion->north[4] + mere_high(conversion->north[5], u);
    by_square = conversion->north[3] + mere_high(by_square, u);
    by_square += mere_high(conversion->north[6], w);

    at->east_mm = mere_scaled((int64_t)by_east * (int64_t)v, conversion->east_shift);
    at->north_mm = mere_scaled(mere_sum_of_products(by_north, u, by_square, w), conversion->north_shift);
    return true;
}

/* Overflow: 22 000 000 mm * 2^30 * 2 < 2^57. */
static inline mere_point_t mere_shifted(const mere_shift_t *shift, mere_point_t at)
{
    mere_point_t moved = at;

    if (shift->sine_q30 != 0) {
        moved.east_mm = mere_dot_q30(at.east_mm, shift->cosine_q30, at.north_mm, -shift->sine_q30);
        moved.north_mm = mere_dot_q30(at.east_mm, shift->sine_q30, at.north_mm, shift->cosine_q30);
    }
    moved.east_mm += shift->east_mm;
    moved.north_mm += shift->north_mm;
    return moved;
}

/* Overflow: differences < 2^26, products < 2^56. */
static inline mere_track_t mere_track(const mere_leg_t *leg, mere_point_t at)
{
    const int32_t east = at.east_mm - leg[0].east_mm;
    const int32_t north = at.north_mm - leg[0].north_mm;
    mere_track_t track;

    track.along_mm = mere_dot_q30(east, leg[0].unit_east_q30, north, leg[0].unit_north_q30);
    track.cross_mm = mere_dot_q30(east, leg[0].unit_north_q30, north, -leg[0].unit_east_q30);
    track.to_go_mm = mere_dot_q30(leg[1].east_mm - at.east_mm, leg[0].unit_east_q30, leg[1].north_mm - at.north_mm,
                                  leg[0].unit_north_q30);
    return track;
}

static inline mere_arrival_t mere_arrival(const mere_leg_t *leg, mere_point_t at, mere_track_t track)
{
    const uint16_t tolerance_mm = leg[1].tolerance_mm;
    mere_arrival_t arrival = MERE_UNDER_WAY;

    if (mere_within(at, &leg[1], tolerance_mm)) {
        arrival = MERE_ARRIVED;
    } else if (track.to_go_mm <= 0) {
        arrival = (mere_magnitude(track.cross_mm) <= tolerance_mm) ? MERE_ARRIVED : MERE_MISSED;
    } else {
        /* still on the way */
    }
    return arrival;
}

static inline uint32_t mere_steer(const mere_leg_t *leg, mere_track_t track, uint16_t look_ahead_mm)
{
    return mere_steer_along(mere_bearing(leg->unit_east_q30, leg->unit_north_q30), track, look_ahead_mm);
}

/* The arctangent of r = small / large <= 1 is r * (c0 + c1 r^2 + ... + c4 r^8),
 * in the least greatest error 1.15e-5 rad = 0.07 cdeg (Abramowitz and Stegun,
 * Handbook of Mathematical Functions, 4.4.49, has the same form with 1e-5). A
 * ratio 2^-14 too small costs at most 6.1e-5 rad = 0.35 cdeg, the last rounding
 * 0.5 cdeg. c_k is kept in cdeg times 2^(16 + k), as in mere_length. */
static inline uint32_t mere_bearing(int32_t east, int32_t north)
{
    const uint32_t across = mere_magnitude(east);
    const uint32_t ahead = mere_magnitude(north);
    const bool steep = across > ahead;
    const int32_t ratio = (int32_t)(steep ? mere_ratio_q15(ahead, across) : mere_ratio_q15(across, ahead));
    const int32_t t_q31 = ratio * ratio * 2;
    int32_t sum = 125235318;
    int64_t angle;
    uint32_t bearing;

    sum = -255805332 + mere_high(sum, t_q31);
    sum = 270594663 + mere_high(sum, t_q31);
    sum = -248054680 + mere_high(sum, t_q31);
    sum = 375443428 + mere_high(sum, t_q31);
    angle = (((int64_t)ratio * (int64_t)sum) + 0x40000000) >> 31;
    bearing = (uint32_t)angle;
    if (steep) {
        bearing = 9000u - bearing;
    }
    if (north < 0) {
        bearing = 18000u - bearing;
    }
    if (east < 0) {
        bearing = 36000u - bearing;
    }
    if (bearing >= 36000u) {
        bearing -= 36000u;
    }
    return bearing;
}

static inline int32_t mere_turn(uint32_t bearing_cdeg, uint32_t heading_cdeg)
{
    int32_t turn = (int32_t)bearing_cdeg - (int32_t)heading_cdeg;

    if (turn < -18000) {
        turn += 36000;
    } else if (turn >= 18000) {
        turn -= 36000;
    } else {
        /* already the short way round */
    }
    return turn;
}

/* Overflow: the mission compiler sees to it that the times add up to no more than
 * 65535 ms; 2^23 + 2^30. */
static inline uint32_t mere_stopping_mm(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t speed_mm_s,
                                        uint32_t age_ms)
{
    const uint32_t reaction = (uint32_t)rover->latency_ms + age_ms + rover->loop_ms + rover->output_delay_ms;

    return mere_travel_mm(speed_mm_s, reaction) + mere_coast_bound_mm(rover, leg, speed_mm_s);
}

static inline uint32_t mere_cut_mm(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t speed_mm_s,
                                   uint32_t age_ms)
{
    const uint32_t reaction = (uint32_t)rover->latency_ms + age_ms + ((uint32_t)rover->loop_ms / 2u) + rover->output_delay_ms;

    return mere_travel_mm(speed_mm_s, reaction) + mere_coast_mm(rover, leg, speed_mm_s);
}

/* Down the search structure of section "Fence" to the cell of the point. */
static inline int32_t mere_fence_margin(const mere_fence_t *fence, mere_point_t at)
{
    const uint32_t x = (uint32_t)at.east_mm - (uint32_t)fence->west_mm;
    const uint32_t y = (uint32_t)at.north_mm - (uint32_t)fence->south_mm;
    uint32_t level = fence->root_log2;
    uint32_t word = 0u;
    int32_t margin = -1;

    if (((x | y) >> level) != 0u) {
        return -1;
    }
    /*@ dynamic_split word; */ /* each word by itself */
    /*@ loop variant level; */
    while ((word < MERE_NODE_LEAF) && (level > 0u)) {
        level--;
        word = fence->nodes[(4u * word) + (2u * ((y >> level) & 1u)) + ((x >> level) & 1u)];
    }
    if (word >= MERE_NODE_CLEAR) {
        const uint32_t least = (word & MERE_NODE_INDEX) * fence->margin_unit_mm;

        margin = (int32_t)least;
    } else if (word > MERE_NODE_LEAF) {
        const uint32_t inside = ((uint32_t)1 << level) - 1u;
        const uint32_t x_inside = x & inside;
        const uint32_t y_inside = y & inside;

        margin = mere_list_margin(fence, &fence->lists[(word & MERE_NODE_INDEX) << fence->list_log2], at,
                                  (int32_t)x_inside, (int32_t)y_inside);
    } else {
        /* not allowed */
    }
    return margin;
}

#ifdef __cplusplus
}
#endif

#endif /* MERESTONE_GUIDANCE_H */
