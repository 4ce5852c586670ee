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
 *     for each turn of the loop, at least every rover.loop_ms:
 *         fill in input: clock, fix if a new one came, pins, speed, heading
 *         mere_step(&NAME_mission, &state, &input, &output);
 *         power the drive if and only if output.drive_enable
 *         steer towards output.bearing_cdeg, no faster than output.speed_limit_mm_s
 *
 * CONTENTS
 *
 *   1. Limits: what the tables may hold, and what is asked of the compiler
 *   2. Words: qualities of a fix, kinds of hold, phases, reasons, events
 *   3. Tables: a mission, as its generated header fills it in
 *   4. Input, output, state: what a step is given, returns and keeps
 *   5. Rules: states, starting, holds, stopping, fence and line, fixes, time
 *   6. Functions: all that a firmware calls, with what they promise
 *        mere_start           begins a mission at a leg
 *        mere_start_lap       begins another lap at a leg, with the site shift kept
 *        mere_set_shift       sets today's site shift
 *        mere_step            one turn of the loop: may the drive be powered, where to steer
 *        mere_reason_text     a reason in words
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
 *  11. Parts of the step (private): flags of the state, fix, place, legs, cut, stop
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
 * CAUTIONS
 *
 * - No conformity is claimed with ISO 12100, ISO 13849, ISO 13850, IEC 60204-1
 *   or any other standard; terms are used as those standards use them. A risk
 *   assessment of the whole machine is the user's, and so are local codes.
 * - This is software on one processor. It does not replace an emergency stop
 *   that breaks the drive supply in hardware.
 * - A processor that hangs leaves its outputs as they are. Let a hardware
 *   watchdog, fed only after mere_step returned in time, cut the drive.
 * - A satellite position may be wrong although it is called fixed. The fence
 *   check is as good as the position is.
 * - If speed_known is false the speed of the leg is assumed. A rover that runs
 *   faster than that stops later than computed.
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
 * "Instructions" in the comments are those counted on an emulated 32-bit
 * Cortex-M3 board with arm-none-eabi-gcc 12.2 -O2, call and return included: the
 * most that any of some 20 000 inputs took that were chosen to be difficult. What
 * depends on the mission is worked out for each, and stands in its own header, under
 * MEMORY AND TIME; "typically" is for a fence of 64 vertices and 4 obstacles and 4
 * hold contacts. In double precision a distance took 8 400 and a bearing 12 500. So compiled,
 * all that the loop calls takes 5.8 kB of code and 0.5 kB of constants, no memory but
 * the state's 128 bytes, and of the stack 280 bytes at most (290 with -Os).
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
    MERE_RECORD_FORMAT = 2,            /* layout of mere_record_t and of all tables */
    MERE_MAX_HOLDS = 16,               /* entries of the hold table */
    MERE_MAX_COORDINATE_MM = 20000000, /* of any mark, east or north */
    MERE_MAX_DOMAIN_MM = 22000000,     /* of any converted fix, east or north */
    MERE_MAX_SHIFT_MM = 60000,         /* of a site shift, east or north */
    MERE_MAX_ROTATION_Q30 = 18739379,  /* sine of the greatest rotation, 1 degree */
    MERE_MAX_SPEED_MM_S = 20000        /* of a leg; a measured speed is cut off at 65535 */
};

/* A negative array size stops the compilation when a condition does not hold. */
typedef char mere_check_int[(sizeof(int) >= 4u) ? 1 : -1];
typedef char mere_check_complement[((-1 & 3) == 3) ? 1 : -1];
typedef char mere_check_shift[((-3 >> 1) == -2) ? 1 : -1];

/* ------------------------------------------------------------------------
 * 2. Words
 * ------------------------------------------------------------------------ */

/* How good a fix is; more is better. */
typedef enum {
    MERE_QUALITY_NONE = 0,
    MERE_QUALITY_SINGLE = 1,         /* one receiver alone */
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
    MERE_DRIVING = 2,                /* on a leg, the coast after a cut included */
    MERE_DWELLING = 3,               /* at a waypoint, until settled and dwelt */
    MERE_FINISHED = 4                /* at the last waypoint */
} mere_phase_t;

/* How it stands with the end of a leg. */
typedef enum {
    MERE_UNDER_WAY = 0,
    MERE_ARRIVED = 1,                /* within tolerance, or passed abeam within it */
    MERE_MISSED = 2                  /* passed abeam outside the tolerance */
} mere_arrival_t;

/* Reasons against driving; bits, the gravest lowest. */
enum mere_reason {
    MERE_BAD_MISSION = 0x0001,       /* not started, or tables of another format */
    MERE_EMERGENCY = 0x0002,         /* an emergency stop is in its stop state */
    MERE_CHANNELS_DIFFER = 0x0004,   /* the channels of a circuit did, for too long */
    MERE_INTERLOCK_OPEN = 0x0008,    /* an interlock is in its stop state */
    MERE_RESET_NEEDED = 0x0010,      /* a latched stop was not reset */
    MERE_RELEASED = 0x0020,          /* a hold-to-run is released */
    MERE_LATE_STEP = 0x0040,         /* mere_step was called later than loop_ms */
    MERE_NO_SHIFT = 0x0080,          /* shift_needed, and no site shift was set: no place below can be trusted */
    MERE_OUTSIDE_FENCE = 0x0100,     /* outside the boundary or in an obstacle */
    MERE_FENCE_NEAR = 0x0200,        /* the margin is less than allowance and stopping distance */
    MERE_OUT_OF_DOMAIN = 0x0400,     /* the last fix is nowhere near the site */
    MERE_NO_FIX = 0x0800,            /* no good fix since the start, or since the site shift was set */
    MERE_STALE_FIX = 0x1000,         /* no fix for longer than stale_after_ms */
    MERE_POOR_FIX = 0x2000,          /* no good fix for as long, but poor ones */
    MERE_OFF_LINE = 0x4000,          /* further from the leg's line than allowed */
    MERE_PASSED_BY = 0x8000,         /* abeam of the waypoint or beyond, outside its tolerance */
    MERE_NOT_AT_START = 0x10000      /* outside the tolerance of the leg's first waypoint */
};

/* What happened in a step; bits. */
enum mere_event {
    MERE_EVENT_STARTED = 0x01,       /* by an act of the operator */
    MERE_EVENT_START_REFUSED = 0x02, /* an act while something was against it: it is lost */
    MERE_EVENT_STOPPED = 0x04,       /* by the reasons in stopped_by */
    MERE_EVENT_ARRIVED = 0x08,       /* at the end of a leg */
    MERE_EVENT_MISSED = 0x10,        /* stopped beyond a waypoint, outside its tolerance */
    MERE_EVENT_SHORT = 0x20,         /* at rest short of the tolerance: the drive comes on again */
    MERE_EVENT_DEPARTED = 0x40,      /* after a dwell: the drive comes on without an act */
    MERE_EVENT_FINISHED = 0x80,      /* arrived at the last waypoint */
    MERE_EVENT_RESET = 0x100         /* latched stops and channel faults are reset */
};

enum mere_no_stop {
    MERE_NO_STOP = 3                 /* stop_category when none is asked for */
};

/* ------------------------------------------------------------------------
 * 3. Tables
 *
 * Of one mission, filled in by the generated <mission>_mission.h in the order of
 * the members. The ranges given are those that the mission compiler keeps to;
 * the board does not test them again.
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
    uint32_t coast_top_linear_q16;   /* coast never exceeded from coast_top_mm_s / that speed */
    uint32_t coast_top_square_q32;   /* the same / that speed^2, <= 2^30 */
    uint16_t coast_top_mm_s;         /* the highest speed of a leg or of a measured coast, at least 1 */
    uint16_t latency_ms;             /* from the instant a fix holds for to mere_step seeing it */
    uint16_t fix_interval_ms;        /* between two fixes, 1 to stale_after_ms; for the reader only */
    uint16_t loop_ms;                /* longest time between two calls of mere_step, at least 1 */
    uint16_t output_delay_ms;        /* from drive_enable false to the drive without power */
    uint16_t stale_after_ms;         /* a good fix older than this stops the drive */
    uint16_t settle_ms;              /* from the cut to rest, at most */
    uint16_t reset_press_ms;         /* a reset or start counts from this length of press on, <= 60000 */
    uint16_t look_ahead_mm;          /* steer at the point of the leg this far ahead, at least 1 */
    uint16_t front_mm;               /* from the antenna to the front of the body, 0 when ahead of it */
    uint16_t half_width_mm;          /* from the antenna to the wider side of the body */
    uint16_t back_mm;                /* from the antenna to the back of the body, likewise */
    uint16_t max_shift_mm;           /* greatest site shift accepted, east or north, <= MERE_MAX_SHIFT_MM */
    uint8_t required_quality;        /* mere_quality_t, at least; 1 to 4 */
    uint8_t shift_needed;            /* 1: no start without a site shift, zero being one; else 0 */
} mere_rover_t;

/* One leg: the straight line from one waypoint to the next. Its two ends differ,
 * and the next leg starts where it ends. Coordinates are up to
 * MERE_MAX_COORDINATE_MM. */
typedef struct {
    int32_t start_east_mm;
    int32_t start_north_mm;
    int32_t end_east_mm;
    int32_t end_north_mm;
    int32_t unit_east_q30;           /* direction, length 1; -2^30 to 2^30 */
    int32_t unit_north_q30;
    int32_t length_mm;               /* to the nearest */
    uint32_t dwell_ms;               /* at the end, counted once at rest */
    uint32_t coast_square_q32;       /* coast to expect / speed_mm_s^2, <= 2^30; on this leg's slope */
    uint32_t bound_linear_q16;       /* coast never exceeded from speed_mm_s / that speed; for lower ones */
    uint32_t bound_square_q32;       /* the same / speed_mm_s^2, <= 2^30; for higher ones; 0 where it does not fit */
    uint16_t bearing_cdeg;           /* of the direction, to the nearest */
    uint16_t speed_mm_s;             /* 1 to MERE_MAX_SPEED_MM_S */
    uint16_t start_tolerance_mm;     /* arrival tolerance of the waypoint at the start */
    uint16_t end_tolerance_mm;       /* arrival tolerance of the waypoint at the end */
    uint16_t cross_track_mm;         /* greatest distance from the line allowed, and ... */
    uint16_t join_cross_mm;          /* ... before join_mm, not less than cross_track_mm */
    uint16_t join_mm;                /* cross_track_mm holds from here along the leg on */
    uint16_t fence_allowance_mm;     /* position error: to remain between body and fence at rest */
    uint8_t stop_at_end;             /* 1: cut the drive so that the coast ends at the waypoint; else 0 */
    uint8_t spare[3];                /* 0 */
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
 * have the same kind, stop_category and latched. */
typedef struct {
    uint16_t pin;                    /* number of the board's input, for the user's code */
    uint16_t debounce_ms;            /* <= 60000 */
    uint16_t discrepancy_ms;         /* of the first of two channels, 1 to 60000; else 0 */
    uint8_t kind;                    /* mere_hold_kind_t */
    uint8_t run_level;               /* level of the pin that permits running: 0 or 1 */
    uint8_t stop_category;           /* IEC 60204-1: 0, 1 or 2; of an emergency stop 0 or 1 */
    uint8_t latched;                 /* 1: after a stop a reset is needed, as always for an emergency stop */
    uint8_t two_channels;            /* 1: the next entry is the second channel */
    uint8_t spare;                   /* 0 */
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
} mere_track_t;

/* What mere_step is given. Clear it once, so that nothing in it is undefined; a
 * member "with" a flag is not used while the flag is false. No value is dangerous
 * to the arithmetic. */
typedef struct {
    uint32_t time_ms;                /* a clock that runs on and wraps at 2^32 */
    int64_t latitude_ndeg;           /* with fix_new: of the antenna; -90e9 to 90e9 */
    int64_t longitude_ndeg;          /* with fix_new: -180e9 to 180e9 */
    uint32_t speed_mm_s;             /* with speed_known: over ground, magnitude; above 65535 as 65535 */
    uint16_t heading_cdeg;           /* with heading_known: of the rover, not magnetic; above 35999 as not known */
    uint16_t hold_levels;            /* bit i: level of the pin of holds[i], not debounced */
    uint8_t quality;                 /* with fix_new: mere_quality_t; above 4 as 4 */
    bool fix_new;                    /* a fix came since the last step: not one repeated */
    bool speed_known;                /* measured, not commanded; if not, the leg's speed is assumed */
    bool heading_known;
    bool reset_request;              /* the reset button is pressed, not debounced */
    bool start_request;              /* the start button is, likewise; only without hold-to-run circuits */
} mere_input_t;

/* What mere_step returns; every call writes all of it. In a stop of any category
 * drive_enable is false from that step on: how to brake is the user's. */
typedef struct {
    bool drive_enable;               /* power the drive if and only if true */
    bool located;                    /* at, track, to_go_mm, margin_mm and bearing_cdeg hold, as of the last good fix */
    bool turn_known;                 /* turn_cdeg holds, if located */
    uint8_t stop_category;           /* while STOPPED or WAITING: 0, 1 or 2, of IEC 60204-1; else MERE_NO_STOP */
    mere_phase_t phase;
    uint32_t reasons;                /* against driving, now: bits of mere_reason */
    uint32_t stopped_by;             /* reasons at the last stop since mere_start, or 0 */
    uint32_t events;                 /* in this step: bits of mere_event */
    mere_point_t at;                 /* the fix in the local frame, site shift applied */
    mere_track_t track;              /* the same with regard to the leg */
    int32_t to_go_mm;                /* along the leg; negative beyond its end */
    int32_t margin_mm;               /* to the fence, as by mere_fence_margin: -1 when outside */
    uint32_t stopping_mm;            /* from where the last fix was to rest, at most, as by mere_stopping_mm */
    uint32_t fix_age_ms;             /* since the step that took the last good fix; 2^32 - 1 before the first */
    int32_t turn_cdeg;               /* from heading to bearing, -18000 to 17999, positive to the right */
    uint16_t bearing_cdeg;           /* to steer */
    uint16_t speed_limit_mm_s;       /* 0 while the drive is off */
    uint16_t leg;                    /* being driven, from 0; the last one when FINISHED */
    uint16_t holds_run;              /* bit i: hold i is in run, debounced; at mere_start all are taken to be */
} mere_output_t;

/* What mere_step keeps between calls. Made by mere_start; of its members only
 * shift is the user's business, and that only to be read. A state of zeros is one
 * that was not started: it never drives. */
typedef struct {
    uint32_t time_ms;                /* of the last step */
    uint32_t fix_age_ms;             /* since the last good fix; stays at its limit */
    uint32_t timer_ms;               /* driving: since the cut; dwelling: still to stay */
    mere_shift_t shift;              /* today's; none after mere_start */
    mere_point_t at;                 /* of the last good fix, shifted */
    mere_track_t track;              /* of at, on the leg */
    int32_t margin_mm;               /* of at */
    uint32_t stopped_by;             /* reasons at the last stop */
    uint16_t bearing_cdeg;           /* to steer, from at */
    uint16_t leg;                    /* being driven, from 0 */
    uint16_t holds_all;              /* from the hold table: bit i: there is hold i ... */
    uint16_t holds_level;            /* ... and runs at level 1 */
    uint16_t holds_to_run;           /* ... and is a hold-to-run */
    uint16_t holds_emergency;        /* ... and is an emergency stop */
    uint16_t holds_run;              /* bit i: hold i is in run, debounced */
    uint16_t counting;               /* bit i: contrary_ms[i] is not 0 */
    uint16_t latched;                /* bit i: hold i stopped and was not reset */
    uint16_t reset_press_ms;         /* see mere_press */
    uint16_t start_press_ms;
    uint16_t contrary_ms[MERE_MAX_HOLDS];    /* see mere_hold */
    uint16_t differ_ms[MERE_MAX_HOLDS / 2];  /* channels 2 i and 2 i + 1 */
    uint8_t faults;                  /* bit i: channels 2 i and 2 i + 1 differed too long */
    uint8_t both_stopped;            /* bit i: both have been in the stop state since */
    uint8_t phase;                   /* mere_phase_t */
    uint8_t category;                /* of the last stop */
    uint8_t flags;                   /* MERE_FLAG_TIMED and the others */
    uint8_t format;                  /* MERE_RECORD_FORMAT once started */
} mere_state_t;

typedef char mere_check_state[(sizeof(mere_state_t) <= 128u) ? 1 : -1];

/* ------------------------------------------------------------------------
 * 5. Rules
 *
 * What mere_step goes by.
 *
 *  state      drive   leaves when                                  to
 *  ---------  ------  -------------------------------------------  --------
 *  STOPPED    off     no reason against driving is left            WAITING
 *  WAITING    off     a reason appears (a released hold-to-run     STOPPED
 *                     is none here: it is what one waits for)
 *                     the operator starts                          DRIVING
 *  DRIVING    on(*)   any reason                                   STOPPED
 *                     arrival, last waypoint                       FINISHED
 *                     arrival, stop at this waypoint               DWELLING
 *                     arrival, else: the next leg                  DRIVING
 *  DWELLING   off     any reason                                   STOPPED
 *                     settled and dwelt: the next leg              DRIVING
 *  FINISHED   off     mere_start only
 *
 *  (*) except between the cut and the arrival. A rover that comes to rest short
 *      of the tolerance (settle_ms after the cut) goes on, event SHORT, and
 *      arrives where it enters the tolerance.
 *
 * Starting. No unexpected start-up (ISO 12100, IEC 60204-1): after power-up, and
 * after every stop whatever its reason, the drive comes on by an act of the
 * operator alone, never because a fix returned or a hold closed. The act is
 * - with hold-to-run circuits: pressing them anew, that is all of them going from
 *   released to pressed (debounced), at a moment when nothing else is against it.
 *   One that is pressed at power-up, or was kept pressed through a stop, must be
 *   released first;
 * - without: start_request, pressed anew for reset_press_ms.
 * An act at a moment when something is against it is lost, event START_REFUSED.
 * The one start that needs no act is the departure after a dwell, which is part
 * of the mission: the operator has kept the hold-to-run pressed throughout.
 *
 * Holds. A contact that reads stop without interruption for debounce_ms stops;
 * shorter openings count down as they counted up, so that a chattering contact
 * that is open more than half of the time stops too. It must read run without
 * any interruption for debounce_ms to count as run again. Two channels must both
 * run; when they differ for discrepancy_ms that is latched as a fault, and to
 * clear it both must have been in the stop state together.
 * After a stop by a latched hold or a channel fault a reset is needed: with all
 * those circuits back in run, reset_request is pressed anew for reset_press_ms
 * and let go. It acts on letting go, so that a jammed button resets nothing
 * (after ISO 13849-1, manual reset). A reset starts nothing. What these rules take
 * from the standards named is from memory and no quotation.
 *
 * Stopping. A stop by holds alone has the lowest stop_category of those in their stop
 * state, and a lower one that joins them meanwhile; a stop for any other reason has
 * category 0. drive_enable is false at once in all of them.
 *
 * Fence and line. At the last good fix the margin must be no less than
 * fence_allowance_mm and as far as the body reaches until rest, whatever its heading:
 * its front corner at the end of the stopping distance, or its rear corner now.
 * While the drive is on, and before a start, the stopping distance is reckoned at
 * no less than the leg's speed, since the rover may yet come to it. The first start
 * must be within start_tolerance_mm of the leg's first waypoint; from then on the
 * rover must keep within cross_track_mm of the line, or join_cross_mm before join_mm.
 *
 * Site shift. With shift_needed the mission was checked with fixes that a site shift
 * of the day has moved onto its marks: until one is set, were it zero, that is a
 * reason, NO_SHIFT. One of another plan is none.
 *
 * Fixes. One of less than required_quality is not used. A good one older than
 * stale_after_ms is a reason: STALE_FIX when none came since, POOR_FIX when poor
 * ones did. One outside the domain of the conversion is a reason at once.
 *
 * Time. time_ms may wrap at 2^32; only differences between calls count. A call
 * later than loop_ms after the one before is a reason, LATE_STEP, while driving
 * or dwelling, and so is a clock that goes backwards.
 * ------------------------------------------------------------------------ */

/* ------------------------------------------------------------------------
 * 6. Functions
 *
 * All that a firmware calls. Five are for the loop. The others answer single
 * questions in the arithmetic of mere_step, for displays, logs and tests: driving
 * needs none of them.
 *
 * - No pointer may be null, and none is kept. Nothing is written but what the
 *   pointers that are not const point to; input, output and state are three
 *   different objects.
 * - Missions, and legs, rover, conversion and fence, are those of a generated
 *   header. For others nothing is proved.
 * - Within the domain given, or for any value where none is, no sum overflows and
 *   no table is read beyond its end. The domains are not tested.
 * - Calls may interrupt one another, or run on several cores, unless one of them
 *   changes what another uses: a state is for one task alone.
 * ------------------------------------------------------------------------ */

/* Begins a mission at a leg, 0 for the first: the rover is to stand at the start of
 * that leg, within start_tolerance_mm, or else the operator's start is refused.
 * Fills in the whole state, with no site shift. To be called at rest.
 *
 * False when the tables are of another format or have more than MERE_MAX_HOLDS
 * contacts, or there is no such leg. mere_step then never enables the drive, reason
 * MERE_BAD_MISSION, and reads no table.
 * Bound of the loop: MERE_MAX_HOLDS. */
static inline bool mere_start(const mere_mission_t *mission, mere_state_t *state, uint16_t leg);

/* Begins another lap of the mission that the state was started with: as mere_start,
 * but the site shift stays. For a base that was not set up anew meanwhile: after a
 * night, or after the base was moved, it is mere_start that is due, and another
 * shift. A state that was not started, which must then be all zeros, has none. */
static inline bool mere_start_lap(const mere_mission_t *mission, mere_state_t *state, uint16_t leg);

/* Sets the site shift: each fix is turned about the frame's origin by the angle
 * with its sine (positive from east towards north; 0 for none), then moved by
 * (east, north), so that today's fixes agree with the mission's marks. To be called
 * after a mere_start that was true, which clears the shift. Takes effect with the
 * next fix; the last one no longer counts.
 *
 * False, and nothing changed, of a state that was not started, for a shift of another
 * plan than the mission's, while driving or dwelling, and for a shift beyond rover.max_shift_mm, east or north, or a
 * sine beyond MERE_MAX_ROTATION_Q30. A firmware that went on would not get a start
 * where the mission needs a shift and had none, and else drive with the one it had.
 * The day is not looked at: see mere_site_shift_t.
 * Worst error 0.04 mm at 22 km, of the rotation's cosine. Bound of the loop: 32. */
static inline bool mere_set_shift(const mere_mission_t *mission, mere_state_t *state, const mere_site_shift_t *shift);

/* One turn of the loop: follows the holds, the fix and the route by the rules of
 * section "Rules", and says whether the drive may be powered. To be called at least
 * every rover.loop_ms, with a new fix or without, with the mission given to
 * mere_start. A state of zeros, or that mere_start refused, gives MERE_BAD_MISSION and
 * no drive.
 * What it returned last stands until it is called again: see CAUTIONS about a
 * program that hangs.
 * Bound of the loops: MERE_MAX_HOLDS, 8, and those of mere_fence_margin.
 * Instructions: see the header of the mission; typically 610 with a fix, 370 without. */
static inline void mere_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                             mere_output_t *output);

/* The gravest of some reasons (bits of mere_reason) in words, "none" when there is
 * none. A constant text of up to 33 ASCII characters. Bound of the loop: 17. */
static inline const char *mere_reason_text(uint32_t reasons);

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
 * the direction times 45 km. Instructions: 35. */
static inline mere_track_t mere_track(const mere_leg_t *leg, mere_point_t at);

/* Whether a point is at the end of a leg, or has passed it. track is that of the
 * point on this leg, by mere_track, with its domain. cut says that the drive is off
 * for this waypoint: where the rover stops, being within tolerance is not arrival
 * while the drive is still on and the end not yet abeam. The tolerance is compared
 * exactly; abeam and across are as exact as the track. */
static inline mere_arrival_t mere_arrival(const mere_leg_t *leg, mere_point_t at, mere_track_t track, bool cut);

/* Bearing to steer, 0 to 35999 cdeg: at the point of the leg that is look_ahead_mm
 * (rover.look_ahead_mm; 0 counts as 1) further along than the rover, or at the end
 * of the leg when that is nearer. Domain: a track by mere_track, with its domain.
 * Worst error 1.5 cdeg: 1 of mere_bearing, 0.5 of the leg's own bearing. */
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
 * mere_step cuts when the way to go along the leg is no more than this. Domain as
 * for mere_stopping_mm. Worst error beside that of the speed and of the coast
 * itself: half a turn of the loop (a whole fix interval where mere_step is called
 * with each fix only, since loop_ms is then the fix interval). */
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

/* Whether a point is within a tolerance (0 to 65535 mm) of another. Exact.
 * Overflow: differences < 2^26, sum of squares < 2^53. */
static inline bool mere_within(mere_point_t at, int32_t east_mm, int32_t north_mm, uint16_t tolerance_mm)
{
    const int32_t east = at.east_mm - east_mm;
    const int32_t north = at.north_mm - north_mm;

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

/* Coast on this leg's slope from a speed (<= 65535) if the braking force does not
 * depend on the speed: d = v^2 / 2a, so that from the leg's speed times
 * (v / leg's speed)^2, rounded up; at most 2 mm too long. This is the coast to
 * expect, for cutting the drive. */
static inline uint32_t mere_coast_mm(const mere_leg_t *leg, uint32_t speed_mm_s)
{
    return mere_square_mm(speed_mm_s, leg->coast_square_q32);
}

/* Coast from a speed (<= 65535) that is not exceeded whatever part of the
 * braking force grows with the speed, on the steepest ground that the mission allows
 * for: below a speed V that was reckoned with in proportion to v, above it to v^2; V is
 * the leg's speed, and the highest of the mission. With the deceleration a + b v, D(v) / v is the mean of
 * u / (a + b u) over u from 0 to v, which grows with v, so D(v) <= D(V) v / V
 * for v <= V; and for v >= V the deceleration is at least that at V, so that
 * D(v) <= D(V) v^2 / V^2. For the fence. Overflow: 2^16 * 2^32 in 64 bits. */
static inline uint32_t mere_coast_bound_mm(const mere_rover_t *rover, const mere_leg_t *leg, uint32_t speed_mm_s)
{
    uint32_t coast;

    if (speed_mm_s < leg->speed_mm_s) {
        coast = (uint32_t)((((uint64_t)speed_mm_s * leg->bound_linear_q16) + 0xFFFFu) >> 16);
    } else if (speed_mm_s > rover->coast_top_mm_s) {
        coast = mere_square_mm(speed_mm_s, rover->coast_top_square_q32);
    } else {
        coast = (uint32_t)((((uint64_t)speed_mm_s * rover->coast_top_linear_q16) + 0xFFFFu) >> 16);
        if (leg->bound_square_q32 != 0u) {
            const uint32_t square = mere_square_mm(speed_mm_s, leg->bound_square_q32);

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
 * not allowed, else as for mere_fence_margin. corner is the cell's south-west corner.
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
                                       mere_point_t corner)
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
                if ((left != corner_left) && mere_crosses(&seen, at.east_mm - corner.east_mm, at.north_mm - corner.north_mm)) {
                    winding += left ? 1 : -1;
                }
            }
            if (abreast < (abreast_mm + beyond_mm)) { /* or else it cannot be the nearest */
                const int32_t along = mere_dot_down_q30(seen.east, edge->unit_east_q30, seen.north, edge->unit_north_q30);
                int32_t beyond = ~along; /* before the first vertex */
                int64_t edge_square;

                if (along >= 0) {
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

static const uint16_t MERE_PRESS_SPENT = 0xFFFFu;    /* a press that no longer counts, see mere_press */

/* What the holds say in one step. */
typedef struct {
    uint32_t reasons;
    uint8_t category;                /* lowest of the holds that ask for a stop, else MERE_NO_STOP */
    bool pressed;                    /* all hold-to-run circuits are in run */
    bool steady;                     /* no contact is about to change */
} mere_holds_t;

/* A time that was counted up, in a counter that is 0 for "not counting" and else
 * 1 more than the time since the first sample; stays below MERE_PRESS_SPENT. */
static inline uint16_t mere_count_up(uint16_t counter, uint32_t elapsed_ms)
{
    return (uint16_t)((counter == 0u) ? 1u : mere_add_up_to(counter, elapsed_ms, 0xFFFEu));
}

/* Debounces contact i. contrary_ms counts how long the level has been other than
 * the state (section "Rules", Holds). */
static inline void mere_hold(const mere_hold_t *hold, mere_state_t *state, uint32_t i, bool reads_run, uint32_t elapsed_ms)
{
    const uint32_t bit = (uint32_t)1 << i;
    const bool runs = (state->holds_run & bit) != 0u;
    uint16_t contrary_ms = state->contrary_ms[i];

    if (reads_run != runs) {
        contrary_ms = mere_count_up(contrary_ms, elapsed_ms);
        if (contrary_ms > hold->debounce_ms) {
            contrary_ms = 0u;
            state->holds_run = (uint16_t)(state->holds_run ^ bit);
            if (runs && (hold->latched != 0u)) {
                state->latched = (uint16_t)(state->latched | bit);
            }
        }
    } else if (runs && (contrary_ms > elapsed_ms)) {
        contrary_ms = (uint16_t)(contrary_ms - elapsed_ms);
    } else {
        contrary_ms = 0u;
    }
    state->contrary_ms[i] = contrary_ms;
    state->counting = (uint16_t)((contrary_ms != 0u) ? (state->counting | bit) : (state->counting & ~bit));
}

/* Watches the two channels i and i + 1 of a circuit, i even. */
static inline void mere_channels(const mere_hold_t *hold, mere_state_t *state, uint32_t i, uint32_t elapsed_ms)
{
    const uint32_t run = ((uint32_t)state->holds_run >> i) & 3u;
    const uint8_t bit = (uint8_t)(1u << (i / 2u));
    uint16_t differ_ms = 0u;

    if (run == 0u) {
        state->both_stopped = (uint8_t)(state->both_stopped | bit);
    } else if (run != 3u) {
        differ_ms = mere_count_up(state->differ_ms[i / 2u], elapsed_ms);
        if (differ_ms > hold->discrepancy_ms) {
            state->faults = (uint8_t)(state->faults | bit);
            state->both_stopped = (uint8_t)(state->both_stopped & ~(uint32_t)bit);
        }
    } else {
        /* both in run */
    }
    state->differ_ms[i / 2u] = differ_ms;
}

/* Follows a push button. The counter becomes MERE_PRESS_SPENT when a press must
 * not count, or has, and 0 when the button is let go; else see mere_count_up. */
static inline uint16_t mere_press(uint16_t counter, bool pressed, bool counts, uint32_t elapsed_ms)
{
    uint16_t next = 0u;

    if (pressed) {
        next = MERE_PRESS_SPENT;
        if (counts && (counter != MERE_PRESS_SPENT)) {
            next = mere_count_up(counter, elapsed_ms);
        }
    }
    return next;
}

/* Every contact in turn; returns the lowest category of those that ask for a stop.
 * Bound of the loop: MERE_MAX_HOLDS. */
static inline uint8_t mere_contacts(const mere_mission_t *mission, mere_state_t *state, uint32_t reads_run, uint32_t elapsed_ms)
{
    const uint32_t changing = (reads_run ^ state->holds_run) | state->counting;
    uint8_t category = MERE_NO_STOP;
    uint32_t i;

    for (i = 0u; i < mission->hold_count; i++) {
        const mere_hold_t *hold = &mission->holds[i];

        if (((changing >> i) & 1u) != 0u) {
            mere_hold(hold, state, i, ((reads_run >> i) & 1u) != 0u, elapsed_ms);
        }
        if (((((uint32_t)state->holds_run >> i) & 1u) == 0u) && (hold->stop_category < category)) {
            category = hold->stop_category;
        }
        if (((i & 1u) != 0u) && (mission->holds[i - 1u].two_channels != 0u)) {
            mere_channels(&mission->holds[i - 1u], state, i - 1u, elapsed_ms);
        }
    }
    return category;
}

/* Whether everything that a reset would reset is back in run. */
static inline bool mere_resettable(const mere_state_t *state)
{
    const uint32_t waiting = (uint32_t)state->holds_all & ~(uint32_t)state->holds_run;
    const uint32_t unproved = state->faults & ~(uint32_t)state->both_stopped;
    uint32_t in_the_way = (state->latched & waiting) | unproved;
    uint32_t i;

    for (i = 0u; (i < 8u) && ((state->faults >> i) != 0u); i++) {
        if (((state->faults >> i) & 1u) != 0u) {
            in_the_way |= (waiting >> (2u * i)) & 3u;
        }
    }
    return in_the_way == 0u;
}

/* All holds, and the reset. The contacts are gone through only when one of them
 * reads stop, is in stop, or was about to change: not while all is well. */
static inline mere_holds_t mere_holds(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                                      uint32_t elapsed_ms, uint32_t *events)
{
    const uint32_t reads_run = ~((uint32_t)input->hold_levels ^ state->holds_level) & state->holds_all;
    mere_holds_t holds = { 0u, MERE_NO_STOP, false, false };
    uint32_t stopped;

    if (((reads_run & state->holds_run) != state->holds_all) || (state->counting != 0u)) {
        holds.category = mere_contacts(mission, state, reads_run, elapsed_ms);
    }
    stopped = (uint32_t)state->holds_all & ~(uint32_t)state->holds_run;
    if ((stopped & state->holds_to_run) != 0u) {
        holds.reasons |= MERE_RELEASED;
    }
    if ((stopped & state->holds_emergency) != 0u) {
        holds.reasons |= MERE_EMERGENCY;
    }
    if ((stopped & ~((uint32_t)state->holds_to_run | state->holds_emergency)) != 0u) {
        holds.reasons |= MERE_INTERLOCK_OPEN;
    }
    holds.pressed = (stopped & state->holds_to_run) == 0u;
    holds.steady = state->counting == 0u;

    if ((state->latched | state->faults | state->reset_press_ms | (uint32_t)input->reset_request) != 0u) {
        const bool resettable = mere_resettable(state);
        const uint16_t press_ms = mere_press(state->reset_press_ms, input->reset_request, resettable, elapsed_ms);

        if ((press_ms == 0u) && resettable && (state->reset_press_ms > mission->rover.reset_press_ms)
            && (state->reset_press_ms != MERE_PRESS_SPENT) && ((state->latched | state->faults) != 0u)) {
            state->latched = 0u;
            state->faults = 0u;
            *events |= MERE_EVENT_RESET;
        }
        state->reset_press_ms = press_ms;
        if (state->faults != 0u) {
            holds.reasons |= MERE_CHANNELS_DIFFER;
        }
        if ((state->latched | state->faults) != 0u) {
            holds.reasons |= MERE_RESET_NEEDED;
        }
    }
    return holds;
}

/* ------------------------------------------------------------------------
 * 11. Parts of the step (private)
 *
 * Private: not for firmware; may change between versions.
 * ------------------------------------------------------------------------ */

/* Flags of mere_state_t. */
static const uint32_t MERE_FLAG_TIMED = 0x01u;       /* time_ms is that of the last step */
static const uint32_t MERE_FLAG_LOCATED = 0x02u;     /* there has been a good fix; at and the rest hold */
static const uint32_t MERE_FLAG_POOR = 0x04u;        /* the last fix was poor */
static const uint32_t MERE_FLAG_ASTRAY = 0x08u;      /* the last good fix was out of the domain */
static const uint32_t MERE_FLAG_BEGUN = 0x10u;       /* the leg has been driven on */
static const uint32_t MERE_FLAG_CUT = 0x20u;         /* the drive is cut, the rover coasts to the waypoint */
static const uint32_t MERE_FLAG_SHORT = 0x40u;       /* it came to rest short of it: no cut any more */
static const uint32_t MERE_FLAG_PRESSED = 0x80u;     /* all hold-to-run circuits were in run */

/* Sets or clears flags of the state. */
static inline void mere_set_flags(mere_state_t *state, uint32_t flags, bool on)
{
    const uint32_t others = state->flags & ~flags;

    state->flags = (uint8_t)(on ? (others | flags) : others);
}

/* Takes the leg's numbers for the last good fix. */
static inline void mere_look_along(const mere_mission_t *mission, mere_state_t *state)
{
    const mere_leg_t *leg = &mission->legs[state->leg];

    state->track = mere_track(leg, state->at);
    state->bearing_cdeg = (uint16_t)mere_steer(leg, state->track, mission->rover.look_ahead_mm);
}

/* Takes a fix, if there is a new one, and tells what is against its use. */
static inline uint32_t mere_locate(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input)
{
    uint32_t flags = state->flags;
    uint32_t reasons = 0u;

    if ((mission->rover.shift_needed != 0u) && (state->shift.cosine_q30 == 0)) {
        reasons |= MERE_NO_SHIFT;
    }
    if (input->fix_new) {
        mere_point_t at = { 0, 0 };

        if (input->quality < mission->rover.required_quality) {
            flags |= MERE_FLAG_POOR;
        } else if (!mere_local_from_fix(&mission->conversion, input->latitude_ndeg, input->longitude_ndeg, &at)) {
            flags |= MERE_FLAG_ASTRAY;
            flags &= ~(MERE_FLAG_LOCATED | MERE_FLAG_POOR);
        } else {
            flags |= MERE_FLAG_LOCATED;
            flags &= ~(MERE_FLAG_ASTRAY | MERE_FLAG_POOR);
            state->fix_age_ms = 0u;
            state->at = mere_shifted(&state->shift, at);
            state->margin_mm = mere_fence_margin(&mission->fence, state->at);
            mere_look_along(mission, state);
        }
        state->flags = (uint8_t)flags;
    }
    if ((flags & MERE_FLAG_LOCATED) == 0u) {
        reasons |= ((flags & MERE_FLAG_ASTRAY) != 0u) ? MERE_OUT_OF_DOMAIN : MERE_NO_FIX;
    } else {
        if (state->fix_age_ms > mission->rover.stale_after_ms) {
            reasons |= ((flags & MERE_FLAG_POOR) != 0u) ? MERE_POOR_FIX : MERE_STALE_FIX;
        }
        if (state->margin_mm < 0) {
            reasons |= MERE_OUTSIDE_FENCE;
        }
    }
    return reasons;
}

/* Speed to reckon with, at most 65535 mm/s: the one measured; when there is none,
 * that of the leg while driving, 0 while dwelling. Before a start, that of the
 * leg at least, so that there is no start where driving would stop at once. */
static inline uint32_t mere_speed(const mere_state_t *state, const mere_input_t *input, uint32_t leg_speed_mm_s)
{
    uint32_t speed = (input->speed_mm_s > 65535u) ? 65535u : input->speed_mm_s;

    if (state->phase == (uint8_t)MERE_DRIVING) {
        if (!input->speed_known) {
            speed = leg_speed_mm_s;
        }
    } else if (state->phase == (uint8_t)MERE_DWELLING) {
        if (!input->speed_known) {
            speed = 0u;
        }
    } else if ((!input->speed_known) || (speed < leg_speed_mm_s)) {
        speed = leg_speed_mm_s;
    } else {
        /* as measured */
    }
    return speed;
}

/* What is against driving on this leg from where the rover is. */
static inline uint32_t mere_place(const mere_leg_t *leg, const mere_state_t *state, mere_arrival_t arrival)
{
    uint32_t reasons = 0u;

    if ((state->flags & MERE_FLAG_BEGUN) == 0u) {
        if (!mere_within(state->at, leg->start_east_mm, leg->start_north_mm, leg->start_tolerance_mm)) {
            reasons |= MERE_NOT_AT_START;
        }
    } else {
        const uint32_t allowed = (state->track.along_mm < (int32_t)leg->join_mm) ? leg->join_cross_mm
                                                                                 : leg->cross_track_mm;

        if (mere_magnitude(state->track.cross_mm) > allowed) {
            reasons |= MERE_OFF_LINE;
        }
        if (arrival == MERE_MISSED) {
            reasons |= MERE_PASSED_BY;
        }
    }
    return reasons;
}

/* Goes on to the next leg, which there is. */
static inline void mere_next_leg(const mere_mission_t *mission, mere_state_t *state)
{
    state->leg = (uint16_t)(state->leg + 1u);
    state->phase = (uint8_t)MERE_DRIVING;
    mere_set_flags(state, MERE_FLAG_CUT | MERE_FLAG_SHORT, false);
    mere_look_along(mission, state);
}

/* Arrival at the end of a leg: what comes next. */
static inline uint32_t mere_arrive(const mere_mission_t *mission, mere_state_t *state, const mere_leg_t *leg)
{
    uint32_t events = MERE_EVENT_ARRIVED;

    if (((uint32_t)state->leg + 1u) >= mission->leg_count) {
        state->phase = (uint8_t)MERE_FINISHED;
        events |= MERE_EVENT_FINISHED;
    } else if (leg->stop_at_end != 0u) {
        state->phase = (uint8_t)MERE_DWELLING;
        state->timer_ms = mere_add_up_to(leg->dwell_ms, mission->rover.settle_ms, 0xFFFFFFFFu);
    } else {
        mere_next_leg(mission, state);
    }
    return events;
}

/* Decides on cutting the drive before a waypoint where the rover stops, and on
 * going on when it came to rest short of it. */
static inline uint32_t mere_cut(const mere_mission_t *mission, mere_state_t *state, const mere_leg_t *leg,
                                uint32_t speed_mm_s, uint32_t elapsed_ms)
{
    uint32_t events = 0u;

    if ((state->flags & MERE_FLAG_CUT) != 0u) {
        state->timer_ms = mere_add_up_to(state->timer_ms, elapsed_ms, 0xFFFFFFFFu);
        if (state->timer_ms >= mission->rover.settle_ms) {
            mere_set_flags(state, MERE_FLAG_CUT, false);
            mere_set_flags(state, MERE_FLAG_SHORT, true);
            events |= MERE_EVENT_SHORT;
        }
    } else if ((leg->stop_at_end != 0u) && ((state->flags & MERE_FLAG_SHORT) == 0u)) {
        const int32_t to_go = leg->length_mm - state->track.along_mm;

        if (to_go <= (int32_t)mere_cut_mm(&mission->rover, leg, speed_mm_s, state->fix_age_ms)) {
            mere_set_flags(state, MERE_FLAG_CUT, true);
            state->timer_ms = 0u;
        }
    } else {
        /* passing through, or creeping up */
    }
    return events;
}

/* Stops: remembers why, and how (section "Rules", Stopping). */
static inline void mere_stop(mere_state_t *state, uint32_t reasons, uint8_t holds_category)
{
    const uint32_t by_holds = (uint32_t)MERE_EMERGENCY | (uint32_t)MERE_CHANNELS_DIFFER | (uint32_t)MERE_INTERLOCK_OPEN
                              | (uint32_t)MERE_RESET_NEEDED | (uint32_t)MERE_RELEASED;

    state->phase = (uint8_t)MERE_STOPPED;
    state->stopped_by = reasons;
    state->category = (((reasons & ~by_holds) != 0u) || (holds_category == (uint8_t)MERE_NO_STOP)) ? 0u : holds_category;
    mere_set_flags(state, MERE_FLAG_CUT | MERE_FLAG_SHORT, false);
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
    const volatile uint8_t *format = &mission->record.format;
    const mere_state_t fresh = { 0u, 0xFFFFFFFFu, 0u, { 0, 0, 0, 0 }, { 0, 0 }, { 0, 0 }, -1, 0u, 0u, 0u,
                                 0u, 0u, 0u, 0u, 0u, 0u, 0u, MERE_PRESS_SPENT, MERE_PRESS_SPENT,
                                 { 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u },
                                 { 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u },
                                 0u, 0u, (uint8_t)MERE_STOPPED, 0u, (uint8_t)MERE_FLAG_PRESSED, 0u };
    uint32_t i;

    *state = fresh;
    if ((*format != (uint8_t)MERE_RECORD_FORMAT) || (leg >= mission->leg_count) || (mission->hold_count > MERE_MAX_HOLDS)) {
        return false;
    }
    for (i = 0u; i < mission->hold_count; i++) {
        const mere_hold_t *hold = &mission->holds[i];
        const uint32_t bit = (uint32_t)1 << i;

        state->holds_all = (uint16_t)(state->holds_all | bit);
        if (hold->run_level != 0u) {
            state->holds_level = (uint16_t)(state->holds_level | bit);
        }
        if (hold->kind == (uint8_t)MERE_HOLD_TO_RUN) {
            state->holds_to_run = (uint16_t)(state->holds_to_run | bit);
        }
        if (hold->kind == (uint8_t)MERE_EMERGENCY_STOP) {
            state->holds_emergency = (uint16_t)(state->holds_emergency | bit);
        }
    }
    /* Taken to run until read otherwise, so that nothing counts as pressed anew. */
    state->holds_run = state->holds_all;
    state->leg = leg;
    state->format = MERE_RECORD_FORMAT;
    return true;
}

static inline bool mere_start_lap(const mere_mission_t *mission, mere_state_t *state, uint16_t leg)
{
    const mere_shift_t kept = state->shift;
    const bool before = state->format == (uint8_t)MERE_RECORD_FORMAT;
    const bool started = mere_start(mission, state, leg);

    if (before && started) {
        state->shift = kept;
    }
    return started;
}

/* cos = 1 - s^2/2 - s^4/8 - ..., the rest below 2e-12; within 1.6 * 2^-30. */
static inline bool mere_set_shift(const mere_mission_t *mission, mere_state_t *state, const mere_site_shift_t *shift)
{
    const int32_t limit_mm = (int32_t)mission->rover.max_shift_mm;
    int64_t square_q60;
    uint64_t half_square_q30;
    uint64_t rotation_cosine_q30;
    uint32_t differing = 0u;
    uint32_t i;

    for (i = 0u; i < sizeof(shift->digest); i++) {
        differing |= (uint32_t)shift->digest[i] ^ (uint32_t)mission->record.digest[i];
    }
    if ((state->format != (uint8_t)MERE_RECORD_FORMAT) || (differing != 0u) || (state->phase == (uint8_t)MERE_DRIVING)
        || (state->phase == (uint8_t)MERE_DWELLING)) {
        return false;
    }
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
    mere_set_flags(state, MERE_FLAG_LOCATED, false);
    return true;
}

static inline void mere_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input,
                             mere_output_t *output)
{
    const mere_output_t nothing = { false, false, false, 0u, MERE_STOPPED, MERE_BAD_MISSION, MERE_BAD_MISSION, 0u,
                                    { 0, 0 }, { 0, 0 }, 0, -1, 0u, 0u, 0, 0u, 0u, 0u, 0u };
    const mere_leg_t *leg;
    mere_holds_t holds;
    mere_arrival_t arrival = MERE_UNDER_WAY;
    uint32_t events = 0u;
    uint32_t reasons;
    uint32_t elapsed_ms = 0u;
    uint32_t speed_mm_s;
    uint32_t fastest_mm_s;
    uint32_t stopping_mm;
    bool under_way;
    bool act;

    if (state->format != (uint8_t)MERE_RECORD_FORMAT) {
        *output = nothing;
        return;
    }

    /* Time. */
    if ((state->flags & MERE_FLAG_TIMED) != 0u) {
        elapsed_ms = input->time_ms - state->time_ms;
    }
    state->time_ms = input->time_ms;
    mere_set_flags(state, MERE_FLAG_TIMED, true);
    state->fix_age_ms = mere_add_up_to(state->fix_age_ms, elapsed_ms, 0xFFFFFFFFu);
    under_way = (state->phase == (uint8_t)MERE_DRIVING) || (state->phase == (uint8_t)MERE_DWELLING);

    /* The operator. */
    holds = mere_holds(mission, state, input, elapsed_ms, &events);
    if (state->holds_to_run != 0u) {
        act = holds.pressed && ((state->flags & MERE_FLAG_PRESSED) == 0u);
        mere_set_flags(state, MERE_FLAG_PRESSED, holds.pressed);
    } else {
        state->start_press_ms = mere_press(state->start_press_ms, input->start_request, true, elapsed_ms);
        act = (state->start_press_ms > mission->rover.reset_press_ms) && (state->start_press_ms != MERE_PRESS_SPENT);
        if (act) {
            state->start_press_ms = MERE_PRESS_SPENT;
        }
    }

    /* What is against driving. */
    reasons = holds.reasons | mere_locate(mission, state, input);
    leg = &mission->legs[state->leg];
    speed_mm_s = mere_speed(state, input, leg->speed_mm_s);
    /* While the drive is powered the rover may still be gaining speed, up to the
     * leg's, until a cut takes effect: the fence reckons with that speed. */
    fastest_mm_s = speed_mm_s;
    if ((state->phase == (uint8_t)MERE_DRIVING) && ((state->flags & MERE_FLAG_CUT) == 0u)
        && (fastest_mm_s < leg->speed_mm_s)) {
        fastest_mm_s = leg->speed_mm_s;
    }
    stopping_mm = mere_stopping_mm(&mission->rover, leg, fastest_mm_s,
                                   (state->fix_age_ms < mission->rover.stale_after_ms) ? state->fix_age_ms
                                                                                      : mission->rover.stale_after_ms);
    if (under_way && (elapsed_ms > mission->rover.loop_ms)) {
        reasons |= MERE_LATE_STEP;
    }
    if ((state->flags & MERE_FLAG_LOCATED) != 0u) {
        if ((state->margin_mm >= 0)
            && mere_too_near(&mission->rover, leg, (uint32_t)state->margin_mm, stopping_mm)) {
            reasons |= MERE_FENCE_NEAR;
        }
        if ((state->phase != (uint8_t)MERE_DWELLING) && (state->phase != (uint8_t)MERE_FINISHED)) {
            arrival = mere_arrival(leg, state->at, state->track,
                                   (state->flags & (MERE_FLAG_CUT | MERE_FLAG_SHORT)) != 0u);
            reasons |= mere_place(leg, state, arrival);
        }
    }

    /* The states. */
    if (under_way && (reasons != 0u)) {
        mere_stop(state, reasons, holds.category);
        events |= ((reasons & MERE_PASSED_BY) != 0u) ? (MERE_EVENT_STOPPED | MERE_EVENT_MISSED) : MERE_EVENT_STOPPED;
    } else if (state->phase == (uint8_t)MERE_DRIVING) {
        if (arrival == MERE_ARRIVED) {
            events |= mere_arrive(mission, state, leg);
        } else {
            events |= mere_cut(mission, state, leg, speed_mm_s, elapsed_ms);
        }
    } else if (state->phase == (uint8_t)MERE_DWELLING) {
        if (state->timer_ms > elapsed_ms) {
            state->timer_ms -= elapsed_ms;
        } else {
            mere_next_leg(mission, state);
            events |= MERE_EVENT_DEPARTED;
        }
    } else if (state->phase != (uint8_t)MERE_FINISHED) {
        if (holds.category < state->category) {
            state->category = holds.category;
        }
        state->phase = (uint8_t)(((reasons & ~(uint32_t)MERE_RELEASED) != 0u) ? MERE_STOPPED : MERE_WAITING);
        if (act && (reasons == 0u) && holds.steady) {
            state->phase = (uint8_t)MERE_DRIVING;
            mere_set_flags(state, MERE_FLAG_BEGUN, true);
            events |= MERE_EVENT_STARTED;
        } else if (act) {
            events |= MERE_EVENT_START_REFUSED;
        } else {
            /* still waiting */
        }
    } else {
        /* finished */
    }

    /* What comes of it. */
    leg = &mission->legs[state->leg];
    output->drive_enable = (state->phase == (uint8_t)MERE_DRIVING) && ((state->flags & MERE_FLAG_CUT) == 0u);
    output->located = (state->flags & MERE_FLAG_LOCATED) != 0u;
    output->turn_known = input->heading_known && (input->heading_cdeg < 36000u);
    output->stop_category = (state->phase <= (uint8_t)MERE_WAITING) ? state->category : (uint8_t)MERE_NO_STOP;
    output->phase = (mere_phase_t)state->phase;
    output->reasons = reasons;
    output->stopped_by = state->stopped_by;
    output->events = events;
    output->at = state->at;
    output->track = state->track;
    output->to_go_mm = leg->length_mm - state->track.along_mm;
    output->margin_mm = state->margin_mm;
    output->stopping_mm = stopping_mm;
    output->fix_age_ms = state->fix_age_ms;
    output->turn_cdeg = output->turn_known ? mere_turn(state->bearing_cdeg, input->heading_cdeg) : 0;
    output->bearing_cdeg = state->bearing_cdeg;
    output->speed_limit_mm_s = output->drive_enable ? leg->speed_mm_s : 0u;
    output->leg = state->leg;
    output->holds_run = state->holds_run;
}

static inline const char *mere_reason_text(uint32_t reasons)
{
    static const char *const texts[] = {
        "bad mission tables or not started",
        "emergency stop",
        "channels of a hold differ",
        "interlock open",
        "reset needed",
        "hold-to-run released",
        "step called too late",
        "no site shift of this plan",
        "outside the fence",
        "too near the fence",
        "fix far from the site",
        "no good fix yet",
        "fix too old",
        "fix quality too low for too long",
        "too far from the line",
        "waypoint missed",
        "not at the start"
    };
    uint32_t i;

    for (i = 0u; i < 17u; i++) {
        if (((reasons >> i) & 1u) != 0u) {
            return texts[i];
        }
    }
    return "none";
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
    const int32_t east = at.east_mm - leg->start_east_mm;
    const int32_t north = at.north_mm - leg->start_north_mm;
    mere_track_t track;

    track.along_mm = mere_dot_q30(east, leg->unit_east_q30, north, leg->unit_north_q30);
    track.cross_mm = mere_dot_q30(east, leg->unit_north_q30, north, -leg->unit_east_q30);
    return track;
}

/* Where the rover stops, the drive runs on within the tolerance until the cut, so that
 * it comes to rest near the mark and not at the tolerance's rim. */
static inline mere_arrival_t mere_arrival(const mere_leg_t *leg, mere_point_t at, mere_track_t track, bool cut)
{
    const bool abeam = track.along_mm >= leg->length_mm;
    mere_arrival_t arrival = MERE_UNDER_WAY;

    if (mere_within(at, leg->end_east_mm, leg->end_north_mm, leg->end_tolerance_mm)) {
        if ((leg->stop_at_end == 0u) || cut || abeam) {
            arrival = MERE_ARRIVED;
        }
    } else if (abeam) {
        arrival = (mere_magnitude(track.cross_mm) <= leg->end_tolerance_mm) ? MERE_ARRIVED : MERE_MISSED;
    } else {
        /* still on the way */
    }
    return arrival;
}

static inline uint32_t mere_steer(const mere_leg_t *leg, mere_track_t track, uint16_t look_ahead_mm)
{
    const int32_t to_go = leg->length_mm - track.along_mm;
    int32_t ahead = (int32_t)look_ahead_mm;
    uint32_t bearing;

    if (ahead > to_go) {
        ahead = to_go;
    }
    if (ahead < 1) {
        ahead = 1;
    }
    /* A rover right of the line (cross > 0) has the point to its left. */
    bearing = leg->bearing_cdeg + mere_bearing(-track.cross_mm, ahead);
    if (bearing >= 36000u) {
        bearing -= 36000u;
    }
    return bearing;
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

    return mere_travel_mm(speed_mm_s, reaction) + mere_coast_mm(leg, speed_mm_s);
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
    while ((word < MERE_NODE_LEAF) && (level > 0u)) {
        level--;
        word = fence->nodes[(4u * word) + (2u * ((y >> level) & 1u)) + ((x >> level) & 1u)];
    }
    if (word >= MERE_NODE_CLEAR) {
        const uint32_t least = (word & MERE_NODE_INDEX) * fence->margin_unit_mm;

        margin = (int32_t)least;
    } else if (word > MERE_NODE_LEAF) {
        const uint32_t corner_x = (x >> level) << level;
        const uint32_t corner_y = (y >> level) << level;
        mere_point_t corner;

        corner.east_mm = fence->west_mm + (int32_t)corner_x;
        corner.north_mm = fence->south_mm + (int32_t)corner_y;
        margin = mere_list_margin(fence, &fence->lists[(word & MERE_NODE_INDEX) << fence->list_log2], at, corner);
    } else {
        /* not allowed */
    }
    return margin;
}

#ifdef __cplusplus
}
#endif

#endif /* MERESTONE_GUIDANCE_H */
