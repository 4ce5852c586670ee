/*
 * salt_pan_dikes_mission.h: mission "salt-pan-dikes", for merestone_guidance.h.
 * Written by merestone test; not to be edited by hand.
 * Plan SHA-256 c1485b7224fe3b2d7841b65f6dbebd1c6fdd8cc552574c3fbd1826687b9383a9
 *
 * Open route of 10 legs, 3922.83 m in all; boundary of 8 marks, 6 obstacles.
 * Rover 1.10 m wide, 1.60 m long.
 * Ground that falls or rises by up to 1.0 %, longest coast 2.26 m from 1.40 m/s.
 * Bounds of positions hold at 95 %, at one instant, unless called proved.
 * No start without a site shift of the day, known to 41.2 mm per axis at the farthest place.
 *
 * FRAME
 *
 * WGS 84 origin 69.521300000, 87.440600000, height 21.40 m above the ellipsoid
 * (69d31'16.6800"N 87d26'26.1600"E).
 * East and north in millimetres, in the plane that touches the ellipsoid's
 * parallel surface there (IOGP Guidance Note 7-2, method 9837). Rounding to
 * whole millimetres moves a mark by at most 0.71 mm.
 * The board converts fixes to within 0.710 mm (proved) from -116.0 m to 1696.7 m east
 * and from -330.4 m to 656.0 m north of the origin, at the origin's height.
 * Magnetic declination on 2026-08-03: 17.98 deg east (World Magnetic Model 2025).
 *
 * MARKS
 *
 * mark  latitude deg  longitude deg  east mm  north mm
 * F1    69.521300000   87.440600000        0         0
 * F2    69.520073917   87.454012389   523934   -136720
 * F3    69.519375778   87.467700917  1058689   -214424
 * F4    69.519400167   87.478645389  1486230   -211476
 * F5    69.522525306   87.481068472  1580656    137214
 * F6    69.524897667   87.471120500  1191966    401640
 * F7    69.526101667   87.456652389   626885    535739
 * F8    69.526140556   87.444697056   160000    540000
 * R1    69.521411680   87.441699588    42951     12459
 * R2    69.520482824   87.452613054   469262    -91115
 * R3    69.519750093   87.465424744   969754   -172705
 * R4    69.519621910   87.478033084  1462295   -186754
 * R5    69.521761477   87.479625801  1524361     51967
 * R6    69.522233806   87.466910438  1027672    104393
 * R7    69.523004433   87.453934913   520836    190197
 * R8    69.525829581   87.455780734   592852    505377
 * R9    69.525939960   87.444982486   171148    517623
 * R10   69.523865765   87.443505406   113475    286230
 * R11   69.521773916   87.442019420    55443     52869
 *
 * LEGS (bearings at the start of the leg; speed and tolerance of arriving; expected
 * coast: of one roll-out on the leg's slope, which the cut reckons with; standoff: the
 * clearance needed, at the start of the leg where that is more, and along its line)
 *
 *          length   true  magnetic  fall  speed  expected   cut  tolerance  standoff m
 * leg           m    deg       deg     %    m/s   coast m     m          m  start/line
 * R1-R2    438.71  103.7      85.7     -   1.40      1.60     -       1.20   5.83/5.12
 * R2-R3    507.10   99.3      81.3     -   1.40      1.60     -       1.20   7.02/5.12
 * R3-R4    492.74   91.7      73.7     -   1.40      1.60     -       1.70   7.05/5.12
 * R4-R5    246.66   14.6     356.6     -   1.40      1.60     -       1.70   8.05/5.12
 * R5-R6    499.45  276.1     258.1     -   1.40      1.60     -       1.20   8.18/5.12
 * R6-R7    514.05  279.6     261.7     -   1.40      1.60     -       1.70   7.01/5.12
 * R7-R8    323.30   12.9     354.9     -   1.40      1.60     -       1.70   8.15/5.12
 * R8-R9    421.88  271.7     253.7     -   1.40      1.60     -       1.70   8.20/5.12
 * R9-R10   238.47  194.0     176.0     -   1.40      1.60     -       1.20   8.05/5.12
 * R10-R11  240.47  194.0     176.0     -   0.80      0.52  0.79       1.20   5.36/3.93
 *
 * HOLDS
 *
 * grip (hold-to-run, run is pressed)
 *   pin 14 -+--wire--o/ o--wire--[330 ohm]-- ground
 *           +-[10 kohm]-- supply 3.30 V
 *   pin 18 -+--wire--o/ o--wire--[330 ohm]-- ground
 *           +-[10 kohm]-- supply 3.30 V
 * mushroom button (emergency stop, run is at rest)
 *   pin 15 -+--wire--o-/-o--wire--[330 ohm]-- ground
 *           +-[10 kohm]-- supply 3.30 V
 *   pin 16 -+--wire--o-/-o--wire--[330 ohm]-- ground
 *           +-[10 kohm]-- supply 3.30 V
 * bumper bar (interlock, run is clear)
 *   pin 17 -+--wire--o-/-o--wire--[330 ohm]-- ground
 *           +-[10 kohm]-- supply 3.30 V
 *   pin 19 -+--wire--o-/-o--wire--[330 ohm]-- ground
 *           +-[10 kohm]-- supply 3.30 V
 * drive path, each part with what opens it
 *   battery
 *      |
 *   [contactor] relay, off in 20 ms
 *      |  <- drive_enable (pin 2), watchdog after 200 ms, pole of grip, pole of
 *      |     mushroom button, pole of bumper bar
 *   [motor controller] semiconductor, off in 20 ms
 *      |  <- drive_enable (pin 2)
 *   motors
 * o/ o opens by itself, o-/-o closes by itself; drawn with nothing actuated.
 *
 * 166 single faults and common causes of the model. The drive: stops at once 52, still
 * stops 112, keeps running 2. Found: at once 52, at the next demand 44, by the
 * start-up test 26, by the written test only 11, with a meter only 33. Counts of
 * kinds, not of how often they come: no performance level is claimed.
 * Keeps running: grip: actuator jammed in run, pins 14, 18.
 * Keeps running: mushroom button: actuator jammed in run, pins 15, 16.
 *
 * From letting go to the drive without power: 92 ms at most. Distance to keep:
 * 13.267 m; the rover goes 1.40 m in the holder's 1000 ms, 0.129 m until it is without
 * power and 2.256 m of longest coast (4834 ms at most); who walks goes 9.482 m meanwhile.
 * By the mission's record, 27 of the 27 steps of the written test were passed on
 * 2026-07-27; it is to be done again by 2026-10-27.
 *
 * MEMORY AND TIME (tables: 32-bit target; a copy in every file that includes this
 * header, unless the linker merges them. Instructions: of a Cortex-M3, compiled with
 * arm-none-eabi-gcc 12.2 -O2; worked out for the worst place of these tables by a
 * model that no search on an emulated board found too low)
 *
 * memory                      bytes
 * legs, flash                   352
 * fence, flash                  640
 * fence search, flash           894
 * holds, flash                   72
 * mission and record, flash     376
 * all tables, flash            2334
 * mere_state_t, RAM, at most    176
 *
 * time                 instructions, at most
 * mere_local_from_fix                     88
 * mere_fence_margin                      493
 * mere_step                             1857
 *
 * CAUTIONS
 *
 * - These tables were checked against the mission as it was written: they are as
 *   good as its marks, its measured coast and its receiver's uncertainty. Only what
 *   is called proved is proved; bounds of positions hold with the confidence above,
 *   at one instant, and not for every instant of a drive at once.
 * - Nobody in front of the rover at any distance while it can drive, and nobody
 *   within 13.267 m of it on any side: the way of the rover and of somebody who
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
#ifndef SALT_PAN_DIKES_MISSION_H
#define SALT_PAN_DIKES_MISSION_H

#include "merestone_guidance.h"

enum salt_pan_dikes_count {
    salt_pan_dikes_count_legs = 10,
    salt_pan_dikes_count_edges = 40,
    salt_pan_dikes_count_circles = 0,
    salt_pan_dikes_count_holds = 6
};

/* Numbers of the legs, by the mark where each ends: those of mere_output_t.leg. A
 * program that names them goes on where a waypoint is put in. */
enum salt_pan_dikes_leg {
    salt_pan_dikes_leg_to_r2 = 0,  /* R1-R2 */
    salt_pan_dikes_leg_to_r3 = 1,  /* R2-R3 */
    salt_pan_dikes_leg_to_r4 = 2,  /* R3-R4 */
    salt_pan_dikes_leg_to_r5 = 3,  /* R4-R5 */
    salt_pan_dikes_leg_to_r6 = 4,  /* R5-R6 */
    salt_pan_dikes_leg_to_r7 = 5,  /* R6-R7 */
    salt_pan_dikes_leg_to_r8 = 6,  /* R7-R8 */
    salt_pan_dikes_leg_to_r9 = 7,  /* R8-R9 */
    salt_pan_dikes_leg_to_r10 = 8, /* R9-R10 */
    salt_pan_dikes_leg_to_r11 = 9  /* R10-R11 */
};

/* Numbers of the waypoints, in the order of their visits. */
enum salt_pan_dikes_waypoint {
    salt_pan_dikes_waypoint_r1 = 0,
    salt_pan_dikes_waypoint_r2 = 1,
    salt_pan_dikes_waypoint_r3 = 2,
    salt_pan_dikes_waypoint_r4 = 3,
    salt_pan_dikes_waypoint_r5 = 4,
    salt_pan_dikes_waypoint_r6 = 5,
    salt_pan_dikes_waypoint_r7 = 6,
    salt_pan_dikes_waypoint_r8 = 7,
    salt_pan_dikes_waypoint_r9 = 8,
    salt_pan_dikes_waypoint_r10 = 9,
    salt_pan_dikes_waypoint_r11 = 10
};

enum salt_pan_dikes_figure {
    salt_pan_dikes_figure_width_mm = 1100,        /* of the body */
    salt_pan_dikes_figure_length_mm = 1600,       /* of the body */
    salt_pan_dikes_figure_top_speed_mm_s = 1400,  /* of the fastest leg */
    salt_pan_dikes_figure_hold_reaction_ms = 92,  /* from letting go of a hold to the drive without power, at most */
    salt_pan_dikes_figure_keep_away_mm = 13267,   /* nobody nearer on any side, see CAUTIONS */
    salt_pan_dikes_figure_declination_cdeg = 1798 /* on 2026-08-03; add it to a compass heading for one from true north */
};

/* Bit numbers of mere_input_t.hold_levels. */
enum salt_pan_dikes_hold {
    salt_pan_dikes_hold_grip = 0,
    salt_pan_dikes_second_hold_grip = 1,
    salt_pan_dikes_hold_mushroom_button = 2,
    salt_pan_dikes_second_hold_mushroom_button = 3,
    salt_pan_dikes_hold_bumper_bar = 4,
    salt_pan_dikes_second_hold_bumper_bar = 5
};

/* Of the waypoint: east, north (mm). Of the leg that leaves it: unit east, north (Q30).
 * Of the waypoint: tolerance (mm), dwell (ms; 65535: no stop). Of the leg:
 * speed (mm/s); expected coast, longest coast (mm); join, cross-track before it,
 * fence allowance (mm) */
static const mere_leg_t salt_pan_dikes_legs[11] = {
    {  42951,   12459,  1043389393,  -253495718, 1200u,     0u, 1400u, 1600u, 2256u, 7393u, 1508u, 321u}, /* R1-R2 */
    { 469262,  -91115,  1059752492,  -172760415, 1200u, 65535u, 1400u, 1600u, 2256u, 7491u, 1533u, 321u}, /* R2-R3 */
    { 969754, -172705,  1073305297,   -30614438, 1200u, 65535u, 1400u, 1600u, 2256u, 7563u, 1551u, 321u}, /* R3-R4 */
    {1462295, -186754,   270183838,  1039193052, 1700u, 65535u, 1400u, 1600u, 2256u, 8737u, 2573u, 321u}, /* R4-R5 */
    {1524361,   51967, -1067810061,   112708375, 1700u, 65535u, 1400u, 1600u, 2256u, 8779u, 2707u, 321u}, /* R5-R6 */
    {1027672,  104393, -1058678000,   179227220, 1200u, 65535u, 1400u, 1600u, 2256u, 7473u, 1528u, 321u}, /* R6-R7 */
    { 520836,  190197,   239176951,  1046764487, 1700u, 65535u, 1400u, 1600u, 2256u, 8777u, 2678u, 321u}, /* R7-R8 */
    { 592852,  505377, -1073289376,    31167600, 1700u, 65535u, 1400u, 1600u, 2256u, 8780u, 2721u, 321u}, /* R8-R9 */
    { 171148,  517623,  -259677916, -1041867979, 1700u, 65535u, 1400u, 1600u, 2256u, 8740u, 2577u, 321u}, /* R9-R10 */
    { 113475,  286230,  -259125007, -1042005631, 1200u, 65535u,  800u,  523u, 1289u, 7002u, 1509u, 321u}, /* R10-R11 */
    {  55443,   52869,           0,           0, 1200u, 30000u,    0u,    0u,    0u,    0u,    0u,   0u}  /* R11, where the last leg ends */
};

/* east, north (mm); unit east, north (Q30) */
static const mere_edge_t salt_pan_dikes_edges[40] = {
    {      0,       0,  1038951000,  -271113119}, /* F1-F2 */
    { 523934, -136720,  1062582569,  -154401391}, /* F2-F3 */
    {1058689, -214424,  1073716300,     7403537}, /* F3-F4 */
    {1486230, -211476,   280662615,  1036412081}, /* F4-F5 */
    {1580656,  137214,  -887781504,   603958198}, /* F5-F6 */
    {1191966,  401640, -1044727430,   247923579}, /* F6-F7 */
    { 626885,  535739, -1073697110,     9799037}, /* F7-F8 */
    { 160000,  540000,  -305037521, -1029501634}, /* F8-F1 */
    {      0,       0,           0,           0}, /* F1 again: the ring is closed */
    { 124262,  261885,  1047680942,  -235130067}, /* A4-A3 */
    { 495328,  178607,  -216047284, -1051781857}, /* A3-A2 */
    { 448033,  -51639, -1037625312,   276143470}, /* A2-A1 */
    {  79672,   46393,   217571604,  1051467594}, /* A1-A4 */
    { 124262,  261885,           0,           0}, /* A4 again: the ring is closed */
    { 537787,  160656,  1058139514,  -182379476}, /* B4-B3 */
    {1000984,   80820,  -240327771, -1046500868}, /* B3-B2 */
    { 950574, -138689, -1061888867,   159102291}, /* B2-B1 */
    { 495410,  -70492,   193624985,  1056139607}, /* B1-B4 */
    { 537787,  160656,           0,           0}, /* B4 again: the ring is closed */
    {1051967,   81639,  1067054699,  -119648547}, /* C4-C3 */
    {1480328,   33607,  -247461395, -1044837003}, /* C3-C2 */
    {1435328, -156393, -1072170766,    58063357}, /* C2-C1 */
    {1002459, -132951,   241381946,  1046258219}, /* C1-C4 */
    {1051967,   81639,           0,           0}, /* C4 again: the ring is closed */
    { 192131,  493443,  1072734732,   -46494084}, /* D4-D3 */
    { 555246,  477705,  -234071530, -1047917947}, /* D3-D2 */
    { 498525,  223770, -1047298210,   236828976}, /* D2-D1 */
    { 142213,  304344,   274056415,  1038178494}, /* D1-D4 */
    { 192131,  493443,           0,           0}, /* D4 again: the ring is closed */
    { 616066,  476721,  1046258219,  -241381946}, /* E4-E3 */
    {1045246,  377705,  -172885683, -1059732063}, /* E3-E2 */
    {1004180,  125984, -1058181879,   182133511}, /* E2-E1 */
    { 550820,  204016,   249846502,  1044269233}, /* E1-E4 */
    { 616066,  476721,           0,           0}, /* E4 again: the ring is closed */
    {1103361,  361967,  1067250628,  -117888094}, /* G5-G4 */
    {1173115,  354262,   911281286,  -567880201}, /* G4-G3 */
    {1519836,  138197,  -443995727,  -977644771}, /* G3-G2 */
    {1494262,   81885, -1066864315,   121334403}, /* G2-G1 */
    {1056066,  131721,   216047284,  1051781857}, /* G1-G5 */
    {1103361,  361967,           0,           0}  /* G5 again: the ring is closed */
};

/* The search structure of the fence, see mere_fence_margin. */
static const uint16_t salt_pan_dikes_nodes[180] = {
        2u,     1u,     9u,    11u, 32769u, 32772u,     3u,     5u, 32768u, 32768u,    10u,     4u,
       16u, 32775u,     6u,    30u,    14u, 32779u,     8u, 32782u,    24u, 32768u,    17u, 32768u,
    32782u,     7u, 32768u, 32785u,    13u,    39u,    40u, 32788u, 32791u,    22u, 32793u,    23u,
       36u,    15u, 32768u, 32768u, 32796u, 32799u, 32803u,    18u,    12u, 32768u, 32768u, 32768u,
       20u,    31u, 32768u, 32768u, 32805u, 32808u, 32811u, 52703u, 32815u,    26u, 32817u, 32820u,
       33u,    34u, 32768u, 32768u, 32824u, 32828u, 32832u, 32834u,    28u,    29u, 32837u, 32768u,
    32840u, 32768u,    19u, 32793u, 32843u, 32847u, 32850u,    25u, 32854u,    21u, 32857u, 32768u,
    32859u,    41u, 32862u, 32866u, 32870u, 32873u, 32875u, 32879u, 32883u, 32887u, 32890u, 32892u,
       43u, 32895u, 32897u, 32900u, 32847u, 32902u, 32905u, 32908u, 32768u, 32910u,    27u, 32913u,
    32815u, 32910u, 32917u, 32920u, 32923u, 32925u, 32928u, 32930u, 32934u, 32895u,    42u, 32937u,
    32940u, 32940u, 32928u, 32837u,    32u, 32943u, 32768u, 32768u, 32946u, 32949u, 32857u, 32953u,
    32768u, 32956u, 32959u, 32962u, 32966u, 32969u,    35u, 32854u, 32971u, 32854u, 32974u, 32857u,
    32768u,    37u, 32768u, 32768u, 32977u, 32768u,    38u, 32980u, 32768u, 32984u, 32768u, 32988u,
    32991u, 32994u, 32996u, 32999u, 33001u, 33004u, 33008u, 33010u, 33010u, 33012u, 33015u, 33012u,
    32930u, 32937u, 32943u, 33018u, 33020u,    44u, 33024u, 33026u, 51837u, 33029u, 33032u, 32900u
};

static const uint16_t salt_pan_dikes_lists[267] = {
        0u, 16386u,     1u,     2u, 16386u,     2u,     3u, 16643u, 32770u,    19u, 32789u, 16386u,
        1u, 32784u, 16386u,    14u, 32799u, 16386u,    30u, 32806u, 16642u, 32805u, 32806u, 16385u,
        9u, 16386u,     9u, 32794u, 16386u,     0u,     7u, 16387u,     0u, 32779u,    12u, 16385u,
        7u, 16386u,    14u,    15u, 16642u,    19u, 32790u, 32771u,    14u,    30u,    31u, 16385u,
        0u, 16642u,    10u, 32779u, 16643u, 32778u, 32784u, 32785u, 16387u,     1u,    15u, 32784u,
    16387u,     1u, 32789u, 32790u, 16385u,    15u, 16642u, 32783u, 32790u, 16386u, 32772u,    35u,
    16642u, 32775u, 32780u, 16643u, 32775u,     9u, 32780u, 16386u,     9u,    12u, 16387u,     7u,
        9u, 32780u, 16386u, 32773u,    29u, 16641u, 32773u, 16386u,    29u,    30u, 16387u, 32773u,
       29u,    30u, 16643u, 32773u, 32797u, 32798u, 16386u,    10u, 32785u, 16385u,    17u, 16387u,
        9u,    10u, 32785u, 16643u,    14u, 32785u, 32799u, 16643u, 32777u,    25u, 32794u, 16642u,
    32799u, 32800u, 16385u,    25u, 16642u, 32793u, 32800u, 16385u,     3u, 16386u,    19u,    20u,
    16641u, 32771u, 32770u,     9u,    26u, 16642u, 32794u, 32795u, 16641u, 32794u, 16386u,     0u,
        1u, 16387u,     0u,     1u, 32784u, 32770u,    16u,    17u, 16642u, 32784u,    17u, 16641u,
    32805u, 16642u,    36u, 32805u, 16385u,    35u, 16387u, 32772u,    35u,    36u, 16642u, 32771u,
    32804u, 16642u, 32771u, 32772u, 16386u,    19u, 32805u, 16642u, 32772u, 32803u, 16386u,    34u,
       35u, 16387u, 32772u,    34u,    35u, 16642u, 32772u, 32773u, 16386u,    25u, 32800u, 16386u,
    32774u,    24u, 16387u, 32774u,    24u,    25u, 16386u,    29u,    32u, 16385u,    29u, 16642u,
       29u, 32800u, 16642u, 32773u, 32774u, 16386u,     7u, 32795u, 16387u, 32774u,    24u,    27u,
    16387u,     7u,    24u, 32795u, 16386u, 32774u,     7u, 16386u,    19u,    22u, 16385u,    19u,
    32770u,    37u,    38u, 32769u,    37u, 16642u,    30u, 32799u, 32771u,    30u,    37u,    38u,
    16385u,    30u, 32769u,    30u, 16642u,    34u, 32806u, 32770u,    29u,    30u, 16641u, 32772u,
    16643u, 32770u,    20u, 32789u, 16385u,    20u, 16642u, 32771u, 32788u, 16642u, 32770u, 32771u,
    32770u,    20u,    21u
};

/* pin; debounce, stop filter, discrepancy (ms); kind; run level; latched; two
 * channels */
static const mere_hold_t salt_pan_dikes_holds[6] = {
    {14u, 30u, 0u, 250u,    MERE_HOLD_TO_RUN, 0u, 0u, 1u}, /* grip: normally open to ground, pull-up, runs on low */
    {18u, 30u, 0u,   0u,    MERE_HOLD_TO_RUN, 0u, 0u, 0u}, /* grip: normally open to ground, pull-up, runs on low */
    {15u, 30u, 0u, 250u, MERE_EMERGENCY_STOP, 0u, 1u, 1u}, /* mushroom button: normally closed to ground, pull-up, runs on low */
    {16u, 30u, 0u,   0u, MERE_EMERGENCY_STOP, 0u, 1u, 0u}, /* mushroom button: normally closed to ground, pull-up, runs on low */
    {17u, 10u, 0u, 100u,      MERE_INTERLOCK, 0u, 0u, 1u}, /* bumper bar: normally closed to ground, pull-up, runs on low */
    {19u, 10u, 0u,   0u,      MERE_INTERLOCK, 0u, 0u, 0u}  /* bumper bar: normally closed to ground, pull-up, runs on low */
};

static const mere_mission_t salt_pan_dikes_mission = {
    {   /* record */
        "merestone-image",
        3u, {0u, 0u, 0u},
        {
            0xC1u, 0x48u, 0x5Bu, 0x72u, 0x24u, 0xFEu, 0x3Bu, 0x2Du,
            0x78u, 0x41u, 0xB6u, 0x5Fu, 0x6Du, 0xBEu, 0xBDu, 0x1Cu,
            0x6Fu, 0xDDu, 0x8Cu, 0xC5u, 0x52u, 0x57u, 0x4Cu, 0x3Fu,
            0xBDu, 0x18u, 0x26u, 0x68u, 0x7Bu, 0x93u, 0x83u, 0xA9u
        },
        "salt-pan-dikes",
        "test"
    },
    {   /* conversion */
        INT64_C(69521300000), /* origin_latitude_ndeg */
        INT64_C(87440600000), /* origin_longitude_ndeg */
        INT64_C(69518331651), /* south_ndeg */
        INT64_C(87437628484), /* west_ndeg */
        8849787u, /* latitude_span_ndeg */
        46420298u, /* longitude_span_ndeg */
        -2968349, /* south_from_origin_ndeg */
        -2971516, /* west_from_origin_ndeg */
        {1342132026, -269171505, -3834544, 0, -1256951, 0}, /* east */
        {1916522416, 475611, -1822139, 23562450, -4725571, 0, 0}, /* north */
        3u, /* east_shift */
        2u, /* north_shift */
        3u, /* degree */
        710u /* bound_um */
    },
    {   /* rover */
        105571u, /* coast_top_linear_q16 */
        4941890u, /* coast_top_square_q32 */
        1400u, /* coast_top_mm_s */
        1u, /* coast_unit_mm */
        1u, /* dwell_unit_ms */
        191u, /* latency_ms */
        200u, /* fix_interval_ms */
        40u, /* loop_ms */
        21u, /* output_delay_ms */
        600u, /* stale_after_ms */
        5154u, /* settle_ms */
        500u, /* reset_press_ms */
        200u, /* release_ms */
        1400u, /* look_ahead_mm */
        1000u, /* front_mm */
        900u, /* half_width_mm */
        600u, /* back_mm */
        800u, /* cross_track_mm */
        3521u, /* retreat_mm */
        1680u, /* jump_mm */
        5544u, /* stands_mm */
        7616u, /* max_shift_mm */
        MERE_QUALITY_FIXED, /* required_quality */
        1u /* shift_needed */
    },
    salt_pan_dikes_legs,
    {   /* fence */
        salt_pan_dikes_edges,
        0,
        salt_pan_dikes_nodes,
        salt_pan_dikes_lists,
        -197475, /* west_mm */
        -727795, /* south_mm */
        40u, /* edge_count */
        0u, /* circle_count */
        180u, /* node_count */
        267u, /* list_count */
        21u, /* root_log2 */
        0u, /* list_log2 */
        3u, /* margin_unit_mm */
        4868u, /* exact_within_mm */
        7u, /* slack_mm */
        9722u /* limit_mm */
    },
    salt_pan_dikes_holds,
    10u, /* leg_count */
    6u, /* hold_count */
    0u /* closed */
};

/* A negative array size stops the compilation: these tables are for another
 * guidance header, or the compiler lays structs out in another way. */
typedef char salt_pan_dikes_check_format[(MERE_RECORD_FORMAT == 3) ? 1 : -1];
typedef char salt_pan_dikes_check_legs[(sizeof(mere_leg_t) == 32u) ? 1 : -1];
typedef char salt_pan_dikes_check_edges[(sizeof(mere_edge_t) == 16u) ? 1 : -1];
typedef char salt_pan_dikes_check_circles[(sizeof(mere_circle_t) == 12u) ? 1 : -1];
typedef char salt_pan_dikes_check_holds[(sizeof(mere_hold_t) == 12u) ? 1 : -1];

#endif /* SALT_PAN_DIKES_MISSION_H */
