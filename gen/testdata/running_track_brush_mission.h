/*
 * running_track_brush_mission.h: mission "running-track-brush", for merestone_guidance.h.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 28a4956e9a7adac4f12d32476c133feae545ad117b4631e5f4340a695167bed6
 *
 * Closed route of 18 legs, 427.24 m in all; boundary of 8 marks, 1 obstacles.
 * Rover 0.68 m wide, 0.95 m long.
 * Ground that falls or rises by up to 0.0 %, longest coast 1.73 m from 2.00 m/s.
 * Bounds of positions hold at 95 %, at one instant, unless called proved.
 * Base entered; what stands between two of its set-ups, up to 0.035 m, is in every bound.
 *
 * FRAME
 *
 * WGS 84 origin -36.412700000, -65.238100000, height 148.20 m above the ellipsoid
 * (36d24'45.7200"S 65d14'17.1600"W).
 * East and north in millimetres, in the plane that touches the ellipsoid's
 * parallel surface there (IOGP Guidance Note 7-2, method 9837). Rounding to
 * whole millimetres moves a mark by at most 0.71 mm.
 * The board converts fixes to within 0.709 mm (proved) from -185.3 m to 185.3 m east
 * and from -208.1 m to 208.1 m north of the origin, at the origin's height.
 * Magnetic declination on 2027-02-14: 3.16 deg west (World Magnetic Model 2025).
 *
 * MARKS
 *
 * mark   latitude deg  longitude deg  east mm  north mm
 * T01   -36.412205520  -65.237854867    21987     54872
 * T02   -36.412084649  -65.237955242    12984     68285
 * T03   -36.412004032  -65.238105195     -466     77231
 * T04   -36.411975934  -65.238281906   -16316     80349
 * T05   -36.412004627  -65.238458461   -32152     77165
 * T06   -36.412085748  -65.238607992   -45564     68163
 * T07   -36.412206961  -65.238707731   -54510     54712
 * T08   -36.412349793  -65.238742506   -57629     38862
 * T09   -36.412492500  -65.238706998   -54444     23026
 * T10   -36.413194479  -65.238345136   -21987    -54872
 * T11   -36.413315350  -65.238244761   -12984    -68285
 * T12   -36.413395967  -65.238094804      466    -77231
 * T13   -36.413424065  -65.237918090    16316    -80349
 * T14   -36.413395372  -65.237741532    32152    -77165
 * T15   -36.413314250  -65.237592000    45564    -68163
 * T16   -36.413193036  -65.237492261    54510    -54712
 * T17   -36.413050203  -65.237457488    57629    -38862
 * T18   -36.412907497  -65.237492999    54444    -23026
 * F1    -36.413049968  -65.237315682    70348    -38836
 * F2    -36.412003428  -65.237855180    21959     77298
 * F3    -36.411861308  -65.238282196   -16342     93069
 * F4    -36.412004878  -65.238708477   -54577     77137
 * F5    -36.412350027  -65.238884311   -70348     38836
 * F6    -36.413396571  -65.238344824   -21959    -77298
 * F7    -36.413538692  -65.237917800    16342    -93069
 * F8    -36.413395119  -65.237491512    54577    -77137
 *
 * LEGS (bearings at the start of the leg; speed and tolerance of arriving; expected
 * coast: of one roll-out on the leg's slope, which the cut reckons with; standoff: the
 * clearance needed, at the start of the leg where that is more, and along its line)
 *
 *          length   true  magnetic  fall  speed  expected   cut  tolerance  standoff m
 * leg           m    deg       deg     %    m/s   coast m     m          m  start/line
 * T01-T02   16.15  326.1     329.3     -   1.40      0.73     -       0.60   3.22/2.46
 * T02-T03   16.15  303.6     306.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T03-T04   16.15  281.1     284.3     -   1.40      0.73     -       0.60   3.25/2.46
 * T04-T05   16.15  258.6     261.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T05-T06   16.15  236.1     239.3     -   1.40      0.73     -       0.60   3.25/2.46
 * T06-T07   16.15  213.6     216.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T07-T08   16.15  191.1     194.3     -   1.40      0.73     -       0.60   3.25/2.46
 * T08-T09   16.15  168.6     171.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T09-T10   84.39  157.4     160.5     -   2.00      1.50     -       0.60   3.94/3.17
 * T10-T11   16.15  146.1     149.3     -   1.40      0.73     -       0.60   3.16/2.46
 * T11-T12   16.15  123.6     126.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T12-T13   16.15  101.1     104.3     -   1.40      0.73     -       0.60   3.25/2.46
 * T13-T14   16.15   78.6      81.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T14-T15   16.15   56.1      59.3     -   1.40      0.73     -       0.60   3.25/2.46
 * T15-T16   16.15   33.6      36.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T16-T17   16.15   11.1      14.3     -   1.40      0.73     -       0.60   3.25/2.46
 * T17-T18   16.15  348.6     351.8     -   1.40      0.73     -       0.60   3.25/2.46
 * T18-T01   84.39  337.4     340.5     -   2.00      1.50  1.78       0.60   3.94/3.17
 *
 * HOLDS
 *
 * radio thumb switch (hold-to-run, run is pressed)
 *   pin 3 -+--wire--o/ o--wire--[470 ohm]-- supply 5.00 V
 *          +-[3.9 kohm]-- ground
 *   pin 5 -+--wire--o/ o--wire--[470 ohm]-- supply 5.00 V
 *          +-[3.9 kohm]-- ground
 * mushroom button (emergency stop, run is at rest)
 *   pin 4 -+--wire--o-/-o--wire--[470 ohm]-- supply 5.00 V
 *          +-[3.9 kohm]-- ground
 *   pin 6 -+--wire--o-/-o--wire--[470 ohm]-- supply 5.00 V
 *          +-[3.9 kohm]-- ground
 * drive path, each part with what opens it
 *   battery
 *      |
 *   [contactor] relay, off in 15 ms
 *      |  <- drive_enable (pin 12), watchdog after 50 ms, pole of radio thumb
 *      |     switch, pole of mushroom button
 *   [motor controller] semiconductor, off in 5 ms
 *      |  <- drive_enable (pin 12)
 *   motors
 * o/ o opens by itself, o-/-o closes by itself; drawn with nothing actuated.
 *
 * 98 single faults and common causes of the model. The drive: stops at once 37, still
 * stops 59, keeps running 2. Found: at once 37, at the next demand 24, by the start-up
 * test 10, by the written test only 9, with a meter only 18. Counts of kinds, not of
 * how often they come: no performance level is claimed.
 * Keeps running: radio thumb switch: actuator jammed in run, pins 3, 5.
 * Keeps running: mushroom button: actuator jammed in run, pins 4, 6.
 *
 * From letting go to the drive without power: 337 ms at most. Distance to keep:
 * 10.678 m; the rover goes 2.00 m in the holder's 1000 ms, 0.674 m until it is without
 * power and 1.725 m of longest coast (2587 ms at most); who walks goes 6.279 m meanwhile.
 * By the mission's record, 21 of the 21 steps of the written test were passed on
 * 2027-01-20; it is to be done again by 2027-07-20.
 *
 * MEMORY AND TIME (tables: 32-bit target; a copy in every file that includes this
 * header, unless the linker merges them. Instructions: of a Cortex-M3, compiled with
 * arm-none-eabi-gcc 12.2 -O2; worked out for the worst place of these tables by a
 * model that no search on an emulated board found too low)
 *
 * memory                      bytes
 * legs, flash                   608
 * fence, flash                  448
 * fence search, flash           968
 * holds, flash                   48
 * mission and record, flash     376
 * all tables, flash            2448
 * mere_state_t, RAM, at most    176
 *
 * time                 instructions, at most
 * mere_local_from_fix                     88
 * mere_fence_margin                      508
 * mere_step                             1724
 *
 * CAUTIONS
 *
 * - These tables were checked against the mission as it was written: they are as
 *   good as its marks, its measured coast and its receiver's uncertainty. Only what
 *   is called proved is proved; bounds of positions hold with the confidence above,
 *   at one instant, and not for every instant of a drive at once.
 * - Nobody in front of the rover at any distance while it can drive, and nobody
 *   within 10.678 m of it on any side: the way of the rover and of somebody who
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
#ifndef RUNNING_TRACK_BRUSH_MISSION_H
#define RUNNING_TRACK_BRUSH_MISSION_H

#include "merestone_guidance.h"

enum running_track_brush_count {
    running_track_brush_count_legs = 18,
    running_track_brush_count_edges = 28,
    running_track_brush_count_circles = 0,
    running_track_brush_count_holds = 4
};

/* Numbers of the legs, by the mark where each ends: those of mere_output_t.leg. A
 * program that names them goes on where a waypoint is put in. */
enum running_track_brush_leg {
    running_track_brush_leg_to_t02 = 0,  /* T01-T02 */
    running_track_brush_leg_to_t03 = 1,  /* T02-T03 */
    running_track_brush_leg_to_t04 = 2,  /* T03-T04 */
    running_track_brush_leg_to_t05 = 3,  /* T04-T05 */
    running_track_brush_leg_to_t06 = 4,  /* T05-T06 */
    running_track_brush_leg_to_t07 = 5,  /* T06-T07 */
    running_track_brush_leg_to_t08 = 6,  /* T07-T08 */
    running_track_brush_leg_to_t09 = 7,  /* T08-T09 */
    running_track_brush_leg_to_t10 = 8,  /* T09-T10 */
    running_track_brush_leg_to_t11 = 9,  /* T10-T11 */
    running_track_brush_leg_to_t12 = 10, /* T11-T12 */
    running_track_brush_leg_to_t13 = 11, /* T12-T13 */
    running_track_brush_leg_to_t14 = 12, /* T13-T14 */
    running_track_brush_leg_to_t15 = 13, /* T14-T15 */
    running_track_brush_leg_to_t16 = 14, /* T15-T16 */
    running_track_brush_leg_to_t17 = 15, /* T16-T17 */
    running_track_brush_leg_to_t18 = 16, /* T17-T18 */
    running_track_brush_leg_to_t01 = 17  /* T18-T01 */
};

/* Numbers of the waypoints, in the order of their visits. */
enum running_track_brush_waypoint {
    running_track_brush_waypoint_t01 = 0,
    running_track_brush_waypoint_t02 = 1,
    running_track_brush_waypoint_t03 = 2,
    running_track_brush_waypoint_t04 = 3,
    running_track_brush_waypoint_t05 = 4,
    running_track_brush_waypoint_t06 = 5,
    running_track_brush_waypoint_t07 = 6,
    running_track_brush_waypoint_t08 = 7,
    running_track_brush_waypoint_t09 = 8,
    running_track_brush_waypoint_t10 = 9,
    running_track_brush_waypoint_t11 = 10,
    running_track_brush_waypoint_t12 = 11,
    running_track_brush_waypoint_t13 = 12,
    running_track_brush_waypoint_t14 = 13,
    running_track_brush_waypoint_t15 = 14,
    running_track_brush_waypoint_t16 = 15,
    running_track_brush_waypoint_t17 = 16,
    running_track_brush_waypoint_t18 = 17
};

enum running_track_brush_figure {
    running_track_brush_figure_width_mm = 680,         /* of the body */
    running_track_brush_figure_length_mm = 950,        /* of the body */
    running_track_brush_figure_top_speed_mm_s = 2000,  /* of the fastest leg */
    running_track_brush_figure_hold_reaction_ms = 337, /* from letting go of a hold to the drive without power, at most */
    running_track_brush_figure_keep_away_mm = 10678,   /* nobody nearer on any side, see CAUTIONS */
    running_track_brush_figure_declination_cdeg = -316 /* on 2027-02-14; add it to a compass heading for one from true north */
};

/* Bit numbers of mere_input_t.hold_levels. */
enum running_track_brush_hold {
    running_track_brush_hold_radio_thumb_switch = 0,
    running_track_brush_second_hold_radio_thumb_switch = 1,
    running_track_brush_hold_mushroom_button = 2,
    running_track_brush_second_hold_mushroom_button = 3
};

/* Of the waypoint: east, north (mm). Of the leg that leaves it: unit east, north (Q30).
 * Of the waypoint: tolerance (mm), dwell (ms; 65535: no stop). Of the leg:
 * speed (mm/s); expected coast, longest coast (mm); join, cross-track before it,
 * fence allowance (mm) */
static const mere_leg_t running_track_brush_legs[19] = {
    { 21987,  54872,  -598408843,   891531469, 600u,     0u, 1400u,  735u, 1208u, 9250u, 829u, 83u}, /* T01-T02 */
    { 12984,  68285,  -894040730,   594653410, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T02-T03 */
    {  -466,  77231, -1053549938,   207253546, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T03-T04 */
    {-16316,  80349, -1052675175,  -211651791, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T04-T05 */
    {-32152,  77165,  -891541582,  -598393776, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T05-T06 */
    {-45564,  68163,  -594622760,  -894061116, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T06-T07 */
    {-54510,  54712,  -207317539, -1053537348, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T07-T08 */
    {-57629,  38862,   211715680, -1052662327, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T08-T09 */
    {-54444,  23026,   412972204,  -991148558, 600u, 65535u, 2000u, 1500u, 1725u, 9444u, 738u, 83u}, /* T09-T10 */
    {-21987, -54872,   598408843,  -891531469, 600u, 65535u, 1400u,  735u, 1208u, 9206u, 738u, 83u}, /* T10-T11 */
    {-12984, -68285,   894040730,  -594653410, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T11-T12 */
    {   466, -77231,  1053549938,  -207253546, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T12-T13 */
    { 16316, -80349,  1052675175,   211651791, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T13-T14 */
    { 32152, -77165,   891541582,   598393776, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T14-T15 */
    { 45564, -68163,   594622760,   894061116, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T15-T16 */
    { 54510, -54712,   207317539,  1053537348, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T16-T17 */
    { 57629, -38862,  -211715680,  1052662327, 600u, 65535u, 1400u,  735u, 1208u, 9458u, 794u, 83u}, /* T17-T18 */
    { 54444, -23026,  -412972204,   991148558, 600u, 65535u, 2000u, 1500u, 1725u, 9444u, 738u, 83u}, /* T18-T01 */
    { 21987,  54872,           0,           0, 600u,     0u,    0u,    0u,    0u,    0u,   0u,  0u}  /* T01, where the last leg ends */
};

/* east, north (mm); unit east, north (Q30) */
static const mere_edge_t running_track_brush_edges[28] = {
    { 70348, -38836,  -412976413,   991146804}, /* F1-F2 */
    { 21959,  77298,  -992865548,   408826990}, /* F2-F3 */
    {-16342,  93069,  -991139397,  -412994190}, /* F3-F4 */
    {-54577,  77137,  -408826990,  -992865548}, /* F4-F5 */
    {-70348,  38836,   412976413,  -991146804}, /* F5-F6 */
    {-21959, -77298,   992865548,  -408826990}, /* F6-F7 */
    { 16342, -93069,   991139397,   412994190}, /* F7-F8 */
    { 54577, -77137,   408826990,   992865548}, /* F8-F1 */
    { 70348, -38836,           0,           0}, /* F1 again: the ring is closed */
    { 50581, -24636,   211701355, -1052665208}, /* K18-K17 */
    { 53444, -38872,  -207277819, -1053545163}, /* K17-K16 */
    { 50641, -53119,  -594682988,  -894021056}, /* K16-K15 */
    { 42599, -65209,  -891525760,  -598417349}, /* K15-K14 */
    { 30542, -73302, -1052679499,  -211630284}, /* K14-K13 */
    { 16306, -76164, -1053545163,   207277819}, /* K13-K12 */
    {  2059, -73361,  -894055156,   594631721}, /* K12-K11 */
    {-10031, -65320,  -598366370,   891559976}, /* K11-K10 */
    {-18123, -53263,  -412978528,   991145923}, /* K10-K09 */
    {-50581,  24636,  -211701355,  1052665208}, /* K09-K08 */
    {-53444,  38872,   207277819,  1053545163}, /* K08-K07 */
    {-50641,  53119,   594682988,   894021056}, /* K07-K06 */
    {-42599,  65209,   891525760,   598417349}, /* K06-K05 */
    {-30542,  73302,  1052679499,   211630284}, /* K05-K04 */
    {-16306,  76164,  1053545163,  -207277819}, /* K04-K03 */
    { -2059,  73361,   894055156,  -594631721}, /* K03-K02 */
    { 10031,  65320,   598366370,  -891559976}, /* K02-K01 */
    { 18123,  53263,   412978528,  -991145923}, /* K01-K18 */
    { 50581, -24636,           0,           0}  /* K18 again: the ring is closed */
};

/* The search structure of the fence, see mere_fence_margin. */
static const uint16_t running_track_brush_nodes[180] = {
        5u,     3u,     1u,    20u,     8u,     2u, 32769u,     9u, 32772u, 32768u,    11u,    16u,
        4u, 32768u,    14u, 32768u, 32777u, 32768u,    10u,    17u, 32768u,     6u, 32780u, 32782u,
    32768u, 32777u, 32786u,     7u,    40u,    24u,    41u, 32791u, 32768u,    18u, 32768u,    12u,
       13u,    19u, 32768u, 32768u,    25u, 32795u, 32768u, 32799u, 32803u, 32768u,    31u, 32807u,
    32811u,    26u, 32768u,    43u,    44u,    27u, 32768u, 32814u, 32768u,    15u, 32817u, 32817u,
       33u, 32821u,    32u, 32824u, 32768u, 32768u, 32827u,    39u, 32831u, 32768u,    28u, 32768u,
    32768u, 32834u, 32811u,    29u,    30u, 32838u, 32842u, 32768u,    21u, 32768u, 32845u, 32768u,
    32848u, 32851u,    22u, 32768u, 32853u, 32851u,    23u, 32768u,    34u, 32857u, 32861u, 32851u,
    32866u, 32868u, 32872u, 32876u, 32879u, 32884u, 32876u, 32887u, 32891u,    35u, 32894u, 32896u,
    32900u,    36u, 32904u, 32904u, 32906u, 32911u, 32913u, 32917u, 32780u,    37u, 32921u, 32926u,
    32929u,    38u, 32932u, 32937u, 32939u, 32942u, 32945u, 32950u, 32953u, 32956u, 32961u, 32964u,
    32968u, 32917u, 32953u, 32971u, 32975u, 32977u, 32981u, 32984u, 32987u, 32990u, 32992u, 32990u,
    32995u, 32929u, 32997u, 33000u, 33003u, 33007u, 33010u, 33013u, 33015u, 33017u, 33020u, 33023u,
    32768u, 33027u, 33030u, 33033u, 32866u, 32866u, 33037u, 33041u,    42u, 33045u, 33045u, 32768u,
    33048u, 33053u, 33056u, 33045u, 32894u, 32896u, 32768u, 33060u, 33063u, 33066u, 32768u, 33070u
};

static const uint16_t running_track_brush_lists[304] = {
        0u, 16386u,     2u,     3u, 16644u, 32772u, 32785u, 32786u,    19u, 16386u,     5u,     6u,
    16385u,     4u, 16387u,     4u, 32784u, 32785u, 16388u,     4u,     5u, 32784u, 32785u, 16643u,
       13u, 32782u, 32783u, 16387u,     6u, 32780u, 32781u, 16387u,    11u,    12u,    13u, 16387u,
       18u,    19u,    20u, 16387u,    21u,    22u,    23u, 16386u,     3u,     4u, 16386u, 32769u,
        2u, 16387u, 32768u,     9u,    26u, 16386u, 32768u,     7u, 16642u, 32768u, 32775u, 16387u,
       22u,    23u,    24u, 16386u,     6u, 32775u, 16387u,     4u, 32785u, 32786u, 16643u, 32769u,
    32791u, 32792u, 16642u, 32769u, 32770u, 16642u, 32768u, 32769u, 16386u, 32768u,    26u, 16641u,
    32768u, 16387u, 32768u,    25u,    26u, 16643u, 32768u, 32793u, 32794u, 32772u,     0u,     1u,
       24u,    25u, 16385u,     5u, 16387u,     5u, 32781u, 32782u, 16643u, 32773u, 32782u, 32783u,
    16642u, 32781u, 32782u, 32772u,     5u,     6u,    13u,    14u, 16642u, 32774u, 32781u, 16643u,
    32774u, 32780u, 32781u, 16642u, 32771u, 32787u, 16385u,     3u, 16643u, 32771u, 32787u, 32788u,
    32771u,     2u,    21u,    22u, 16641u, 32770u, 32772u,     6u,     7u,    11u,    12u, 16641u,
    32775u, 16643u, 32775u,    10u, 32779u, 16643u, 32775u, 32778u, 32779u, 32772u,     3u,     4u,
       18u,    19u, 16642u, 32786u, 32787u, 16386u,    22u,    23u, 16644u, 32769u, 32770u, 32790u,
    32791u, 16641u, 32769u, 16642u, 32788u,    21u, 16386u,    20u,    21u, 32772u,     2u,     3u,
       20u,    21u, 16642u, 32788u, 32789u, 16386u,     9u,    10u, 32772u,     0u,     7u,     9u,
       10u, 16386u,     9u,    26u, 32771u,     0u,     9u,    26u, 16386u,    10u,    11u, 32771u,
        7u,     9u,    10u, 16385u,    25u, 32771u,     0u,    25u,    26u, 32770u,    24u,    25u,
    32770u,     0u,    25u, 32770u,    18u,    19u, 16641u, 32787u, 32770u,     3u,    19u, 16641u,
    32790u, 32770u,     2u,    22u, 32770u,    22u,    23u, 32771u,     4u,    17u,    18u, 16642u,
    32785u, 32786u, 32770u,     4u,    18u, 16641u, 32786u, 16385u,    23u, 32770u,    23u,    24u,
    32770u,     1u,    23u, 32771u,     1u,    23u,    24u, 16386u,    24u,    25u, 16386u,    23u,
       24u, 16387u, 32769u,    24u,    25u, 16387u, 32772u,     5u, 32783u, 32771u,     5u,    14u,
       15u, 16642u, 32783u, 32784u, 32772u,     4u,     5u,    15u,    16u, 32770u,    15u,    16u,
    32771u,     4u,    15u,    16u, 16386u, 32770u,     3u, 16642u, 32770u, 32771u, 16643u, 32770u,
    32789u, 32790u, 16385u,     2u
};

/* pin; debounce, stop filter, discrepancy (ms); kind; run level; latched; two
 * channels */
static const mere_hold_t running_track_brush_holds[4] = {
    {3u, 10u, 0u, 100u,    MERE_HOLD_TO_RUN, 1u, 0u, 1u}, /* radio thumb switch: normally open to supply, pull-down, runs on high */
    {5u, 10u, 0u,   0u,    MERE_HOLD_TO_RUN, 1u, 0u, 0u}, /* radio thumb switch: normally open to supply, pull-down, runs on high */
    {4u, 10u, 0u, 100u, MERE_EMERGENCY_STOP, 1u, 1u, 1u}, /* mushroom button: normally closed to supply, pull-down, runs on high */
    {6u, 10u, 0u,   0u, MERE_EMERGENCY_STOP, 1u, 1u, 0u}  /* mushroom button: normally closed to supply, pull-down, runs on high */
};

static const mere_mission_t running_track_brush_mission = {
    {   /* record */
        "merestone-image",
        3u, {0u, 0u, 0u},
        {
            0x28u, 0xA4u, 0x95u, 0x6Eu, 0x9Au, 0x7Au, 0xDAu, 0xC4u,
            0xF1u, 0x2Du, 0x32u, 0x47u, 0x6Cu, 0x13u, 0x3Fu, 0xEAu,
            0xE5u, 0x45u, 0xADu, 0x11u, 0x7Bu, 0x46u, 0x31u, 0xE5u,
            0xF4u, 0x34u, 0x0Au, 0x69u, 0x51u, 0x67u, 0xBEu, 0xD6u
        },
        "running-track-brush",
        "test"
    },
    {   /* conversion */
        INT64_C(-36412700000), /* origin_latitude_ndeg */
        INT64_C(-65238100000), /* origin_longitude_ndeg */
        INT64_C(-36414576015), /* south_ndeg */
        INT64_C(-65240167506), /* west_ndeg */
        3752048u, /* latitude_span_ndeg */
        4135012u, /* longitude_span_ndeg */
        -1876015, /* south_from_origin_ndeg */
        -2067506, /* west_from_origin_ndeg */
        {1540925175, 84830428, 0, 0, 0, 0}, /* east */
        {1906437299, -687126, 0, -34283147, 0, 0, 0}, /* north */
        2u, /* east_shift */
        2u, /* north_shift */
        2u, /* degree */
        709u /* bound_um */
    },
    {   /* rover */
        56525u, /* coast_top_linear_q16 */
        1852205u, /* coast_top_square_q32 */
        2000u, /* coast_top_mm_s */
        1u, /* coast_unit_mm */
        1u, /* dwell_unit_ms */
        71u, /* latency_ms */
        100u, /* fix_interval_ms */
        10u, /* loop_ms */
        16u, /* output_delay_ms */
        400u, /* stale_after_ms */
        2902u, /* settle_ms */
        500u, /* reset_press_ms */
        200u, /* release_ms */
        2000u, /* look_ahead_mm */
        475u, /* front_mm */
        340u, /* half_width_mm */
        475u, /* back_mm */
        200u, /* cross_track_mm */
        1061u, /* retreat_mm */
        859u, /* jump_mm */
        3078u, /* stands_mm */
        1000u, /* max_shift_mm */
        MERE_QUALITY_FIXED, /* required_quality */
        0u /* shift_needed */
    },
    running_track_brush_legs,
    {   /* fence */
        running_track_brush_edges,
        0,
        running_track_brush_nodes,
        running_track_brush_lists,
        -116781, /* west_mm */
        -122128, /* south_mm */
        28u, /* edge_count */
        0u, /* circle_count */
        180u, /* node_count */
        304u, /* list_count */
        18u, /* root_log2 */
        0u, /* list_log2 */
        3u, /* margin_unit_mm */
        3302u, /* exact_within_mm */
        6u, /* slack_mm */
        6592u /* limit_mm */
    },
    running_track_brush_holds,
    18u, /* leg_count */
    4u, /* hold_count */
    1u /* closed */
};

/* A negative array size stops the compilation: these tables are for another
 * guidance header, or the compiler lays structs out in another way. */
typedef char running_track_brush_check_format[(MERE_RECORD_FORMAT == 3) ? 1 : -1];
typedef char running_track_brush_check_legs[(sizeof(mere_leg_t) == 32u) ? 1 : -1];
typedef char running_track_brush_check_edges[(sizeof(mere_edge_t) == 16u) ? 1 : -1];
typedef char running_track_brush_check_circles[(sizeof(mere_circle_t) == 12u) ? 1 : -1];
typedef char running_track_brush_check_holds[(sizeof(mere_hold_t) == 12u) ? 1 : -1];

#endif /* RUNNING_TRACK_BRUSH_MISSION_H */
