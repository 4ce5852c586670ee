/*
 * merestone_guidance.h: guidance of a small ground rover along surveyed legs.
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
 * What the tables may hold. The compiler refuses missions beyond these, and
 * the overflow arguments below rest on them.
 * ------------------------------------------------------------------------ */

enum mere_limit {
    MERE_RECORD_FORMAT = 1,          /* layout of mere_record_t and of all tables */
    MERE_MAX_HOLDS = 16,             /* entries of the hold table */
    MERE_MAX_COORDINATE_MM = 20000000, /* of any mark, east or north */
    MERE_MAX_DOMAIN_MM = 20500000,   /* of any converted fix, east or north */
    MERE_MAX_SHIFT_MM = 100000,      /* of a site shift, east or north */
    MERE_MAX_ROTATION_Q30 = 18739379, /* sine of the greatest rotation, 1 degree */
    MERE_MAX_SPEED_MM_S = 20000      /* of a leg; measured speeds are cut off at 65535 */
};

/* ------------------------------------------------------------------------
 * 2. The tables of a mission
 *
 * Filled in by the generated <mission>_mission.h, in the order of the members.
 * Units are in the members' names: mm, ms, mm_s (millimetres a second), cdeg
 * (hundredths of a degree, 0 to 35999, clockwise from the local frame's north),
 * ndeg (1e-9 degree), um (micrometres), q30 (2^30 stands for 1).
 * East and north are those of the site's local frame.
 * ------------------------------------------------------------------------ */

/* What this firmware carries, so that a tool can find it in an image of the
 * flash. Bytes only: the same for either byte order. Texts end in at least one
 * zero byte and are filled up with zeros. */
typedef struct {
    char magic[16];       /* "merestone-image" */
    uint8_t format;       /* MERE_RECORD_FORMAT */
    uint8_t spare[3];     /* 0 */
    uint8_t digest[32];   /* SHA-256 of the resolved plan */
    char mission[64];     /* name of the mission */
    char tool[32];        /* version of the compiler */
} mere_record_t;

/* Conversion from latitude and longitude to east and north. */
typedef struct {
    int64_t origin_latitude_ndeg;
    int64_t origin_longitude_ndeg;
    int64_t south_ndeg;             /* southern limit of the domain */
    int64_t west_ndeg;              /* western limit */
    uint32_t latitude_span_ndeg;    /* northern less southern limit, < 2^31 */
    uint32_t longitude_span_ndeg;   /* eastern less western limit, < 2^31 */
    int32_t south_from_origin_ndeg; /* south_ndeg less the origin's latitude */
    int32_t west_from_origin_ndeg;
    int32_t east[6];                /* coefficients, see mere_local_from_fix */
    int32_t north[7];
    uint8_t east_shift;             /* scale of east[]: 2^-(32 + east_shift) mm */
    uint8_t north_shift;            /* scale of north[] */
    uint16_t degree;                /* of the polynomial, for the reader only */
    uint32_t bound_um;              /* proved bound of the position error */
} mere_conversion_t;

/* What is known of the rover and its receiver. */
typedef struct {
    uint16_t coast_mm;              /* measured: drive power cut at coast_from_mm_s ... */
    uint16_t coast_from_mm_s;       /* ... at rest coast_mm further on */
    uint32_t coast_square_q32;      /* coast_mm / coast_from_mm_s^2, rounded up */
    uint32_t coast_linear_q16;      /* coast_mm / coast_from_mm_s, rounded up */
    uint16_t latency_ms;            /* from the instant a fix holds for to mere_step seeing it */
    uint16_t fix_interval_ms;
    uint16_t loop_ms;               /* longest time between two calls of mere_step */
    uint16_t output_delay_ms;       /* from drive_enable false to the drive without power */
    uint16_t stale_after_ms;        /* a good fix older than this stops the drive */
    uint16_t settle_ms;             /* from the cut to rest, at most */
    uint16_t reset_press_ms;        /* a reset or start counts from this length of press on */
    uint16_t look_ahead_mm;         /* steer at the point of the leg this far ahead */
    uint16_t fence_allowance_mm;    /* half-width and position error: to remain when at rest */
    uint16_t stopping_share_q8;     /* part of the stopping distance kept from the fence, 256 = all */
    uint16_t max_shift_mm;          /* greatest site shift accepted, east or north */
    uint8_t required_quality;       /* mere_quality_t, at least */
    uint8_t spare;                  /* 0 */
} mere_rover_t;

/* One leg: the straight line from one waypoint to the next. */
typedef struct {
    int32_t start_east_mm;
    int32_t start_north_mm;
    int32_t end_east_mm;
    int32_t end_north_mm;
    int32_t unit_east_q30;           /* direction, length 1 */
    int32_t unit_north_q30;
    int32_t length_mm;               /* to the nearest */
    uint32_t dwell_ms;               /* at the end, counted once at rest */
    uint16_t bearing_cdeg;
    uint16_t speed_mm_s;
    uint16_t start_tolerance_mm;     /* arrival tolerance of the waypoint at the start */
    uint16_t end_tolerance_mm;       /* arrival tolerance of the waypoint at the end */
    uint16_t cross_track_mm;         /* greatest distance from the line allowed ... */
    uint16_t join_mm;                /* ... from here on; before it start_tolerance_mm too */
    uint8_t stop_at_end;             /* 1: cut the drive so that the coast ends at the waypoint */
    uint8_t spare[3];                /* 0 */
} mere_leg_t;

/* One edge of a ring, from its vertex to the vertex of the next entry. A ring
 * of n vertices has n + 1 entries: the last repeats the first vertex, has
 * length 0, and is no edge. The boundary runs counter-clockwise, obstacles
 * clockwise: the allowed side is on the left of every edge. */
typedef struct {
    int32_t east_mm;
    int32_t north_mm;
    int32_t unit_east_q30;
    int32_t unit_north_q30;
    int32_t length_mm;               /* rounded up */
} mere_edge_t;

/* A round obstacle. */
typedef struct {
    int32_t east_mm;
    int32_t north_mm;
    int32_t radius_mm;
} mere_circle_t;

/* The fence: edges, round obstacles, and the search structure over them, see
 * mere_fence_margin. */
typedef struct {
    const mere_edge_t *edges;
    const mere_circle_t *circles;    /* a null pointer when circle_count is 0 */
    const uint16_t *nodes;
    const uint16_t *lists;
    int32_t west_mm;                 /* south-west corner of the root square */
    int32_t south_mm;
    uint16_t edge_count;             /* entries, the repeated vertices included */
    uint16_t circle_count;
    uint32_t node_count;             /* words of nodes[] */
    uint32_t list_count;             /* words of lists[] */
    uint8_t root_log2;               /* side of the root square: 2^root_log2 mm */
    uint8_t list_log2;               /* lists begin at multiples of 2^list_log2 words */
    uint16_t margin_unit_mm;         /* unit of the margins kept in nodes[] */
    uint16_t exact_within_mm;        /* up to this margin ... */
    uint16_t slack_mm;               /* ... the margin is at most this much too small */
} mere_fence_t;

/* One contact of a hold circuit. The second channel of a two-channel circuit
 * is the entry after the first, and the first has an even index. Both channels
 * have the same kind, stop_category and latched. */
typedef struct {
    uint16_t pin;                    /* number of the board's input, for the user's code */
    uint16_t debounce_ms;
    uint16_t discrepancy_ms;         /* of the first of two channels; else 0 */
    uint8_t kind;                    /* mere_hold_kind_t */
    uint8_t run_level;               /* level of the pin that permits running: 0 or 1 */
    uint8_t stop_category;           /* IEC 60204-1: 0, 1 or 2 */
    uint8_t latched;                 /* 1: after a stop a reset is needed */
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
    uint16_t leg_count;
    uint8_t hold_count;
    uint8_t closed;                  /* 1: the last leg ends at the first waypoint */
} mere_mission_t;

typedef enum {
    MERE_QUALITY_NONE = 0,
    MERE_QUALITY_SINGLE = 1,         /* one receiver alone */
    MERE_QUALITY_DIFFERENTIAL = 2,   /* code corrections */
    MERE_QUALITY_FLOAT = 3,          /* carrier phase, ambiguities not resolved */
    MERE_QUALITY_FIXED = 4           /* carrier phase, ambiguities resolved */
} mere_quality_t;

typedef enum {
    MERE_HOLD_TO_RUN = 0,
    MERE_EMERGENCY_STOP = 1,
    MERE_INTERLOCK = 2
} mere_hold_kind_t;

#ifdef __cplusplus
}
#endif

#endif /* MERESTONE_GUIDANCE_H */
