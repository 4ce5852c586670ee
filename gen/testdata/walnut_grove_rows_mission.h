/*
 * walnut_grove_rows_mission.h: mission "walnut-grove-rows", for merestone_guidance.h.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 dea146947583bf3de34f210c04688e9f03d64ccc85630f96afc502fa879f4723
 *
 * Open route of 10 legs, 206.00 m in all; boundary of 4 marks, 29 obstacles.
 * Rover 0.42 m wide, 0.60 m long.
 * Ground that falls or rises by up to 1.1 %, longest coast 0.53 m from 0.42 m/s.
 * Bounds of positions hold at 95 %, at one instant, unless called proved.
 * No start without a site shift of the day, known to 15.8 mm per axis at the farthest place.
 *
 * FRAME
 *
 * WGS 84 origin 45.301200000, 6.123400000, height 412.60 m above the ellipsoid
 * (45d18'04.3200"N 6d07'24.2400"E).
 * East and north in millimetres, in the plane that touches the ellipsoid's
 * parallel surface there (IOGP Guidance Note 7-2, method 9837). Rounding to
 * whole millimetres moves a mark by at most 0.71 mm.
 * The board converts fixes to within 0.709 mm (proved) from -104.5 m to 161.9 m east
 * and from -115.7 m to 169.8 m north of the origin, at the origin's height.
 * Magnetic declination on 2026-05-10: 2.98 deg east (World Magnetic Model 2025).
 *
 * MARKS
 *
 * mark   latitude deg  longitude deg  east mm  north mm
 * K1     45.301173008    6.123349004    -4000     -3000
 * K2     45.301713561    6.124183304    61440     57080
 * F1     45.301200000    6.123400000        0         0
 * F2     45.301099230    6.123889560    38400    -11200
 * F3     45.301686570    6.124132307    57440     54080
 * F4     45.301787341    6.123642743    19040     65280
 * START  45.301233110    6.123466805     5240      3680
 * L1S    45.301212956    6.123564717    12920      1440
 * P1     45.301463440    6.123668240    21040     29280
 * L1N    45.301713923    6.123771763    29160     57120
 * L2N    45.301693769    6.123869676    36840     54880
 * P2     45.301408736    6.123751873    27600     23200
 * L2S    45.301192802    6.123662629    20600      -800
 * L3S    45.301172648    6.123760541    28280     -3040
 * P3     45.301457681    6.123878344    37520     28640
 * L3N    45.301673615    6.123967589    44520     52640
 * END    45.301653460    6.124065502    52200     50400
 *
 * LEGS (bearings at the start of the leg; speed and tolerance of arriving; expected
 * coast: of one roll-out on the leg's slope, which the cut reckons with; standoff: the
 * clearance needed, at the start of the leg where that is more, and along its line)
 *
 *            length   true  magnetic  fall  speed  expected   cut  tolerance  standoff m
 * leg             m    deg       deg     %    m/s   coast m     m          m  start/line
 * START-L1S    8.00  106.3     103.3   0.0   0.42      0.22  0.33       0.50   2.15/1.30
 * L1S-P1      29.00   16.3      13.3  -1.0   0.30      0.09  0.17       0.45   1.74/1.12
 * P1-L1N      29.00   16.3      13.3  -1.0   0.42      0.18  0.29       0.50   1.88/1.30
 * L1N-L2N      8.00  106.3     103.3   0.0   0.42      0.22  0.33       0.50   1.93/1.30
 * L2N-P2      33.00  196.3     193.3   1.0   0.30      0.15  0.23       0.45   1.74/1.12
 * P2-L2S      25.00  196.3     193.3   1.0   0.42      0.29  0.41       0.50   1.88/1.30
 * L2S-L3S      8.00  106.3     103.3   0.0   0.42      0.22  0.33       0.50   1.93/1.30
 * L3S-P3      33.00   16.3      13.3  -1.0   0.30      0.09  0.17       0.45   1.74/1.12
 * P3-L3N      25.00   16.3      13.3  -1.0   0.42      0.18  0.29       0.50   1.88/1.30
 * L3N-END      8.00  106.3     103.3   0.0   0.42      0.22  0.33       0.50   1.93/1.30
 *
 * HOLDS
 *
 * thumb switch (hold-to-run, run is pressed)
 *   pin 22 -+--wire--o/ o--wire--[330 ohm]-- ground
 *           +-[pull in the board]-- supply 3.30 V
 * mushroom button (emergency stop, run is at rest)
 *   pin 24 -+--wire--o-/-o--wire--[330 ohm]-- ground
 *           +-[pull in the board]-- supply 3.30 V
 *   pin 26 -+--wire--o-/-o--wire--[330 ohm]-- ground
 *           +-[pull in the board]-- supply 3.30 V
 * drive path, each part with what opens it
 *   battery
 *      |
 *   [mushroom pole] contact, off in 5 ms
 *      |  <- pole of mushroom button
 *   [main relay] relay, off in 15 ms
 *      |  <- drive_enable (pin 8), watchdog after 100 ms, pole of thumb switch
 *   [motor driver] semiconductor, off in 2 ms
 *      |  <- drive_enable (pin 8)
 *   motors
 * o/ o opens by itself, o-/-o closes by itself; drawn with nothing actuated.
 *
 * 69 single faults and common causes of the model. The drive: stops at once 27, still
 * stops 40, keeps running 2. Found: at once 27, at the next demand 10, by the start-up
 * test 10, by the written test only 10, with a meter only 12. Counts of kinds, not of
 * how often they come: no performance level is claimed.
 * Keeps running: thumb switch: actuator jammed in run, pin 22.
 * Keeps running: mushroom button: actuator jammed in run, pins 24, 26.
 *
 * From letting go to the drive without power: 57 ms at most. Distance to keep:
 * 8.673 m; the rover goes 0.42 m in the holder's 1000 ms, 0.024 m until it is without
 * power and 0.526 m of longest coast (3757 ms at most); who walks goes 7.703 m meanwhile.
 * By the mission's record, 21 of the 21 steps of the written test were passed on
 * 2026-04-18; it is to be done again by 2027-04-18.
 *
 * MEMORY AND TIME (tables: 32-bit target; a copy in every file that includes this
 * header, unless the linker merges them. Instructions: of a Cortex-M3, compiled with
 * arm-none-eabi-gcc 12.2 -O2; worked out for the worst place of these tables by a
 * model that no search on an emulated board found too low)
 *
 * memory                      bytes
 * legs, flash                   352
 * fence, flash                  496
 * fence search, flash           864
 * holds, flash                   36
 * mission and record, flash     376
 * all tables, flash            2124
 * mere_state_t, RAM, at most    176
 *
 * time                 instructions, at most
 * mere_local_from_fix                     88
 * mere_fence_margin                      542
 * mere_step                             1684
 *
 * CAUTIONS
 *
 * - These tables were checked against the mission as it was written: they are as
 *   good as its marks, its measured coast and its receiver's uncertainty. Only what
 *   is called proved is proved; bounds of positions hold with the confidence above,
 *   at one instant, and not for every instant of a drive at once.
 * - Nobody in front of the rover at any distance while it can drive, and nobody
 *   within 8.673 m of it on any side: the way of the rover and of somebody who
 *   walks towards it at 1.6 m/s, the holder's second included. Who runs, falls or
 *   is not seen is not in that figure.
 * - Drive the route by hand first, with the emergency stop in reach, and keep
 *   everybody out of the fence. Measure the coast again when the load, the tyres
 *   or the ground change.
 * - Where a base averages its own position, occupy the control marks on the day, and
 *   whenever it was set up anew.
 * - No conformity with any standard is claimed. Local codes, a risk assessment
 *   of the whole machine and licensed practice come first.
 */
#ifndef WALNUT_GROVE_ROWS_MISSION_H
#define WALNUT_GROVE_ROWS_MISSION_H

#include "merestone_guidance.h"

enum walnut_grove_rows_count {
    walnut_grove_rows_count_legs = 10,
    walnut_grove_rows_count_edges = 10,
    walnut_grove_rows_count_circles = 28,
    walnut_grove_rows_count_holds = 3
};

/* Numbers of the legs, by the mark where each ends: those of mere_output_t.leg. A
 * program that names them goes on where a waypoint is put in. */
enum walnut_grove_rows_leg {
    walnut_grove_rows_leg_to_l1s = 0, /* START-L1S */
    walnut_grove_rows_leg_to_p1 = 1,  /* L1S-P1 */
    walnut_grove_rows_leg_to_l1n = 2, /* P1-L1N */
    walnut_grove_rows_leg_to_l2n = 3, /* L1N-L2N */
    walnut_grove_rows_leg_to_p2 = 4,  /* L2N-P2 */
    walnut_grove_rows_leg_to_l2s = 5, /* P2-L2S */
    walnut_grove_rows_leg_to_l3s = 6, /* L2S-L3S */
    walnut_grove_rows_leg_to_p3 = 7,  /* L3S-P3 */
    walnut_grove_rows_leg_to_l3n = 8, /* P3-L3N */
    walnut_grove_rows_leg_to_end = 9  /* L3N-END */
};

/* Numbers of the waypoints, in the order of their visits. */
enum walnut_grove_rows_waypoint {
    walnut_grove_rows_waypoint_start = 0,
    walnut_grove_rows_waypoint_l1s = 1,
    walnut_grove_rows_waypoint_p1 = 2,
    walnut_grove_rows_waypoint_l1n = 3,
    walnut_grove_rows_waypoint_l2n = 4,
    walnut_grove_rows_waypoint_p2 = 5,
    walnut_grove_rows_waypoint_l2s = 6,
    walnut_grove_rows_waypoint_l3s = 7,
    walnut_grove_rows_waypoint_p3 = 8,
    walnut_grove_rows_waypoint_l3n = 9,
    walnut_grove_rows_waypoint_end = 10
};

enum walnut_grove_rows_figure {
    walnut_grove_rows_figure_width_mm = 420,        /* of the body */
    walnut_grove_rows_figure_length_mm = 600,       /* of the body */
    walnut_grove_rows_figure_top_speed_mm_s = 420,  /* of the fastest leg */
    walnut_grove_rows_figure_hold_reaction_ms = 57, /* from letting go of a hold to the drive without power, at most */
    walnut_grove_rows_figure_keep_away_mm = 8673,   /* nobody nearer on any side, see CAUTIONS */
    walnut_grove_rows_figure_declination_cdeg = 298 /* on 2026-05-10; add it to a compass heading for one from true north */
};

/* Bit numbers of mere_input_t.hold_levels. */
enum walnut_grove_rows_hold {
    walnut_grove_rows_hold_mushroom_button = 0,
    walnut_grove_rows_second_hold_mushroom_button = 1,
    walnut_grove_rows_hold_thumb_switch = 2
};

/* Of the waypoint: east, north (mm). Of the leg that leaves it: unit east, north (Q30).
 * Of the waypoint: tolerance (mm), dwell (ms; 65535: no stop). Of the leg:
 * speed (mm/s); expected coast, longest coast (mm); join, cross-track before it,
 * fence allowance (mm) */
static const mere_leg_t walnut_grove_rows_legs[11] = {
    { 5240,  3680, 1030792151,  -300647711, 500u,     0u, 420u, 221u, 526u, 2342u, 1092u, 138u}, /* START-L1S */
    {12920,  1440,  300647711,  1030792151, 500u,     0u, 300u,  91u, 376u, 2279u,  872u, 138u}, /* L1S-P1 */
    {21040, 29280,  300647711,  1030792151, 450u, 20000u, 420u, 178u, 526u, 2342u,  822u, 138u}, /* P1-L1N */
    {29160, 57120, 1030792151,  -300647711, 500u,     0u, 420u, 221u, 526u, 2342u,  872u, 138u}, /* L1N-L2N */
    {36840, 54880, -300647711, -1030792151, 500u,     0u, 300u, 150u, 376u, 2279u,  872u, 138u}, /* L2N-P2 */
    {27600, 23200, -300647711, -1030792151, 450u, 20000u, 420u, 293u, 526u, 2342u,  822u, 138u}, /* P2-L2S */
    {20600,  -800, 1030792151,  -300647711, 500u,     0u, 420u, 221u, 526u, 2342u,  872u, 138u}, /* L2S-L3S */
    {28280, -3040,  300647711,  1030792151, 500u,     0u, 300u,  91u, 376u, 2279u,  872u, 138u}, /* L3S-P3 */
    {37520, 28640,  300647711,  1030792151, 450u, 20000u, 420u, 178u, 526u, 2342u,  822u, 138u}, /* P3-L3N */
    {44520, 52640, 1030792151,  -300647711, 500u,     0u, 420u, 221u, 526u, 2342u,  872u, 138u}, /* L3N-END */
    {52200, 50400,          0,           0, 500u,     0u,   0u,   0u,   0u,    0u,    0u,   0u}  /* END, where the last leg ends */
};

/* east, north (mm); unit east, north (Q30) */
static const mere_edge_t walnut_grove_rows_edges[10] = {
    {    0,      0,  1030792151,  -300647711}, /* F1-F2 */
    {38400, -11200,   300647711,  1030792151}, /* F2-F3 */
    {57440,  54080, -1030792151,   300647711}, /* F3-F4 */
    {19040,  65280,  -300647711, -1030792151}, /* F4-F1 */
    {    0,      0,           0,           0}, /* F1 again: the ring is closed */
    {37240,   2680,  1030792151,  -300647711}, /* W4-W3 */
    {40120,   1840,  -300647711, -1030792151}, /* W3-W2 */
    {39000,  -2000, -1030792151,   300647711}, /* W2-W1 */
    {36120,  -1160,   300647711,  1030792151}, /* W1-W4 */
    {37240,   2680,           0,           0}  /* W4 again: the ring is closed */
};

/* east, north, radius (mm) */
static const mere_circle_t walnut_grove_rows_circles[28] = {
    {10480,  7360, 400}, /* tree 1-1 */
    {12720, 15040, 400}, /* tree 1-2 */
    {14960, 22720, 400}, /* tree 1-3 */
    {17200, 30400, 400}, /* tree 1-4 */
    {19440, 38080, 400}, /* tree 1-5 */
    {21680, 45760, 400}, /* tree 1-6 */
    {23920, 53440, 400}, /* tree 1-7 */
    {18160,  5120, 400}, /* tree 2-1 */
    {20400, 12800, 400}, /* tree 2-2 */
    {22640, 20480, 400}, /* tree 2-3 */
    {24880, 28160, 400}, /* tree 2-4 */
    {27120, 35840, 400}, /* tree 2-5 */
    {29360, 43520, 400}, /* tree 2-6 */
    {31600, 51200, 400}, /* tree 2-7 */
    {25840,  2880, 400}, /* tree 3-1 */
    {28080, 10560, 400}, /* tree 3-2 */
    {30320, 18240, 400}, /* tree 3-3 */
    {32560, 25920, 400}, /* tree 3-4 */
    {34800, 33600, 400}, /* tree 3-5 */
    {37040, 41280, 400}, /* tree 3-6 */
    {39280, 48960, 400}, /* tree 3-7 */
    {33520,   640, 400}, /* tree 4-1 */
    {35760,  8320, 400}, /* tree 4-2 */
    {38000, 16000, 400}, /* tree 4-3 */
    {40240, 23680, 400}, /* tree 4-4 */
    {42480, 31360, 400}, /* tree 4-5 */
    {44720, 39040, 400}, /* tree 4-6 */
    {46960, 46720, 400}  /* tree 4-7 */
};

/* The search structure of the fence, see mere_fence_margin. */
static const uint16_t walnut_grove_rows_nodes[144] = {
        1u,     4u,     5u,    14u, 32769u,    10u, 32769u,     2u,    20u,     3u,    22u,     8u,
    32772u,    13u, 32777u, 32782u,    16u, 32768u,     7u, 32768u, 32768u,     6u, 32768u, 32768u,
       32u,     9u, 32787u,    27u,    12u, 32768u,    25u, 32768u, 32791u, 32796u, 32801u, 32806u,
    32811u, 32815u,    28u, 32820u, 32768u, 32768u, 32825u,    11u, 32825u, 32827u, 32830u,    18u,
       21u, 32768u, 32833u, 32837u, 32839u,    24u, 32842u, 32846u,    15u, 32768u, 32768u, 32768u,
       19u, 32837u,    35u, 32850u, 32768u, 32768u,    17u, 32768u, 32853u, 32768u,    23u, 32768u,
    32856u, 32860u,    33u,    31u, 32866u, 32871u, 32875u, 32880u, 32884u, 32888u, 32892u,    29u,
       30u, 32896u, 32898u, 32896u, 32904u, 32908u, 32912u, 32915u, 32920u, 32768u,    26u, 32837u,
    32924u, 32928u, 32931u, 32936u, 32939u, 32896u, 32943u, 32948u, 32920u, 32951u, 32955u,    34u,
    32960u, 32963u, 32967u, 32970u, 32972u, 32975u, 32978u, 32981u, 32986u, 32991u, 32994u, 32997u,
    33000u, 33004u, 32936u, 33008u, 33012u, 33016u, 33019u, 33016u, 33023u, 33025u, 33023u, 33029u,
    33033u, 33012u, 33035u, 33038u, 33040u, 33040u, 33043u, 33045u, 33048u, 33052u, 32970u, 32768u
};

static const uint16_t walnut_grove_rows_lists[288] = {
        0u, 16386u,     0u,     3u, 16644u, 16391u, 16392u, 16398u, 16399u, 16644u, 16392u, 16393u,
    16399u, 16400u, 32772u, 16399u, 16400u, 16406u, 16407u, 16387u, 32770u,     3u, 16390u, 16644u,
    16393u, 16394u, 16400u, 16401u, 16644u, 16400u, 16401u, 16407u, 16408u, 16644u, 16387u, 16394u,
    16395u, 16401u, 16644u, 16395u, 16401u, 16402u, 16408u, 16643u, 16388u, 16395u, 16396u, 16644u,
    16395u, 16396u, 16402u, 16403u, 16644u, 16396u, 16397u, 16403u, 16404u, 16385u,     0u, 16386u,
        0u, 32769u, 16386u,     0u, 16398u, 16643u, 32769u, 16406u, 16407u, 16385u,     1u, 16642u,
    16398u, 16405u, 32771u, 16398u, 16399u, 16406u, 16643u, 32773u, 32776u, 16406u, 16642u, 32769u,
    32770u, 16386u,     0u,     1u, 32771u,     0u,     7u,     8u, 32773u,     0u,     1u,     6u,
        7u,     8u, 16644u, 16402u, 16403u, 16409u, 16410u, 16643u, 32769u, 16409u, 16410u, 16644u,
    16403u, 16404u, 16410u, 16411u, 16643u, 32769u, 16410u, 16411u, 16643u, 32768u, 32771u, 16384u,
    16643u, 16384u, 16391u, 16392u, 16643u, 32771u, 16384u, 16385u, 16641u, 32769u, 32773u,     1u,
        5u,     6u,     8u, 16406u, 16387u,     3u, 16385u, 16386u, 16643u, 16385u, 16386u, 16393u,
    16386u,     3u, 16386u, 16644u, 32771u, 16386u, 16387u, 16394u, 16643u, 32769u,     6u, 32775u,
    16643u,     5u, 32776u, 16405u, 16642u,     5u, 32776u, 32772u,     5u,     8u, 16405u, 16406u,
    32770u,     5u,     8u, 16643u, 32769u, 16407u, 16408u, 16644u, 32769u, 16402u, 16408u, 16409u,
    16642u, 32769u, 16409u, 16643u, 32769u, 32774u, 32775u, 16388u,     5u,     6u,     7u,     8u,
    16642u, 16390u, 16397u, 16643u, 32770u, 16397u, 16404u, 16642u, 32770u, 32771u, 16641u, 32770u,
    16642u, 16388u, 16389u, 16642u, 16389u, 16396u, 16642u, 16389u, 16390u, 32772u, 16389u, 16390u,
    16396u, 16397u, 32772u, 16384u, 16385u, 16391u, 16392u, 16642u, 16391u, 16392u, 16642u, 16385u,
    16392u, 16642u, 16392u, 16393u, 16387u,     5u,     6u,     8u, 16387u, 32769u,     5u,     6u,
    32771u,     1u,     5u,     6u, 32771u,     7u,     8u, 16405u, 16642u, 32775u, 32776u, 16643u,
    32775u, 32776u, 16405u, 16385u,     3u, 16643u, 32771u, 16387u, 16388u, 16643u, 32771u, 16388u,
    16389u, 32769u, 16405u, 32770u, 16398u, 16405u, 16641u, 16405u, 16642u, 32769u, 32774u, 16385u,
        6u, 32770u,     1u,     6u, 16643u, 32770u, 16404u, 16411u, 16643u, 32769u, 32770u, 16411u
};

/* pin; debounce, stop filter, discrepancy (ms); kind; run level; latched; two
 * channels */
static const mere_hold_t walnut_grove_rows_holds[3] = {
    {24u, 20u, 0u, 200u, MERE_EMERGENCY_STOP, 0u, 1u, 1u}, /* mushroom button: normally closed to ground, pull-up, runs on low */
    {26u, 20u, 0u,   0u, MERE_EMERGENCY_STOP, 0u, 1u, 0u}, /* mushroom button: normally closed to ground, pull-up, runs on low */
    {22u, 20u, 0u,   0u,    MERE_HOLD_TO_RUN, 0u, 0u, 0u}  /* thumb switch: normally open to ground, pull-up, runs on low */
};

static const mere_mission_t walnut_grove_rows_mission = {
    {   /* record */
        "merestone-image",
        3u, {0u, 0u, 0u},
        {
            0xDEu, 0xA1u, 0x46u, 0x94u, 0x75u, 0x83u, 0xBFu, 0x3Du,
            0xE3u, 0x4Fu, 0x21u, 0x0Cu, 0x04u, 0x68u, 0x8Eu, 0x9Fu,
            0x03u, 0xD6u, 0x4Cu, 0xCCu, 0x85u, 0x63u, 0x0Fu, 0x96u,
            0xAFu, 0xC5u, 0x02u, 0xFAu, 0x87u, 0x9Fu, 0x47u, 0x23u
        },
        "walnut-grove-rows",
        "test"
    },
    {   /* conversion */
        INT64_C(45301200000), /* origin_latitude_ndeg */
        INT64_C(6123400000), /* origin_longitude_ndeg */
        INT64_C(45300157997), /* south_ndeg */
        INT64_C(6122066697), /* west_ndeg */
        2570559u, /* latitude_span_ndeg */
        3398927u, /* longitude_span_ndeg */
        -1042003, /* south_from_origin_ndeg */
        -1333303, /* west_from_origin_ndeg */
        {1347549512, -101742542, 0, 0, 0, 0}, /* east */
        {1909454241, 721004, 0, 35901126, 0, 0, 0}, /* north */
        2u, /* east_shift */
        2u, /* north_shift */
        2u, /* degree */
        709u /* bound_um */
    },
    {   /* rover */
        81934u, /* coast_top_linear_q16 */
        8949361u, /* coast_top_square_q32 */
        600u, /* coast_top_mm_s */
        1u, /* coast_unit_mm */
        1u, /* dwell_unit_ms */
        141u, /* latency_ms */
        200u, /* fix_interval_ms */
        20u, /* loop_ms */
        16u, /* output_delay_ms */
        1000u, /* stale_after_ms */
        4070u, /* settle_ms */
        500u, /* reset_press_ms */
        200u, /* release_ms */
        420u, /* look_ahead_mm */
        200u, /* front_mm */
        210u, /* half_width_mm */
        400u, /* back_mm */
        250u, /* cross_track_mm */
        1342u, /* retreat_mm */
        748u, /* jump_mm */
        2312u, /* stands_mm */
        5539u, /* max_shift_mm */
        MERE_QUALITY_FIXED, /* required_quality */
        1u /* shift_needed */
    },
    walnut_grove_rows_legs,
    {   /* fence */
        walnut_grove_rows_edges,
        walnut_grove_rows_circles,
        walnut_grove_rows_nodes,
        walnut_grove_rows_lists,
        -28153, /* west_mm */
        -32073, /* south_mm */
        10u, /* edge_count */
        28u, /* circle_count */
        144u, /* node_count */
        288u, /* list_count */
        17u, /* root_log2 */
        0u, /* list_log2 */
        2u, /* margin_unit_mm */
        1816u, /* exact_within_mm */
        6u, /* slack_mm */
        3620u /* limit_mm */
    },
    walnut_grove_rows_holds,
    10u, /* leg_count */
    3u, /* hold_count */
    0u /* closed */
};

/* A negative array size stops the compilation: these tables are for another
 * guidance header, or the compiler lays structs out in another way. */
typedef char walnut_grove_rows_check_format[(MERE_RECORD_FORMAT == 3) ? 1 : -1];
typedef char walnut_grove_rows_check_legs[(sizeof(mere_leg_t) == 32u) ? 1 : -1];
typedef char walnut_grove_rows_check_edges[(sizeof(mere_edge_t) == 16u) ? 1 : -1];
typedef char walnut_grove_rows_check_circles[(sizeof(mere_circle_t) == 12u) ? 1 : -1];
typedef char walnut_grove_rows_check_holds[(sizeof(mere_hold_t) == 12u) ? 1 : -1];

#endif /* WALNUT_GROVE_ROWS_MISSION_H */
