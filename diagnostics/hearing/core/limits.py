"""Every number that the hearing follows a clip by, each with its unit, how it was chosen, and what it is. Those of the
verdict stand in verdict_limits.py.

manual    given by the manual of `listen`
physics   a physical fact
practice  common practice for small engines and phones, no source
choose    tried on clips of the ranges of the set `choose` (tests/revouts/sets.py): most right verdicts, fewest wrong
saws      the same, and on clips laid out from single firings of real saws, which lie outside the project
fit       read off clips of the set `fit`
size      of the method: what is resolved, against time and memory; nothing was tuned on it

Logarithms are natural. "share" is a share of one, "candidates" are engine speeds STEP_LOG apart, "frames" HOP_S apart,
"blocks" BLOCK_S long. "evidence" is 0.1 for noise and 1 or more for an engine that is heard well. What is fitted by a
program stands in verdict/fitted.py. A clip heard before a limit is changed keeps what was heard.
"""

# What a clip is heard at
RATE_HZ = 8000  # Hz | size | samples a second of every clip; the orders that matter lie below 3.5 kHz
ENVELOPE_RATE_HZ = 2000  # Hz | size | of the envelope, in which a firing is a burst
HOP_S = 0.02  # s | size | a frame
BLOCK_S = 0.01  # s | size | a block, with one refined speed
STEP_LOG = 0.0125  # ln speed | size | from one candidate to the next
SLOWEST_RPM = 600.0  # rpm | practice | of an engine that ticks over
FASTEST_RPM = 16000.0  # rpm | practice | of an engine that is revved out
PATTERNS = (1, 2, 3, 4)  # turns a firing | practice | every turn fires, every second (four-stroking), third, fourth

# Loudness and envelope of the whole clip
SHORTEST_CLIP_S = 0.5  # s | practice | a shorter clip holds no rev-out
HIGH_PASS_ORDER = 2  # order | size | of every high-pass
SILENT = 1e-5  # of full scale | physics | below is nothing but the decoder's rounding
HALVING_TAPS = 31  # taps | size | of the low-pass before the sound is taken at half its rate
HALVING_CUT = 0.225  # of the rate | size | where it cuts, 1.8 kHz at RATE_HZ
UPPER_FROM_HZ = 400  # Hz | practice | the band whose envelope is taken: above most wind, below most hiss
SMOOTHING_TAPS = 33  # taps | size | of the low-pass over the envelope
SMOOTHED_TO_HZ = 850  # Hz | size | where it cuts
OUTLINE_PEAKS = 600  # points | practice | of the outline: two for each point of the picture's width on a phone

# Combs: how well each firing rate explains each frame
FRAME_LENGTHS_S = (0.512, 0.256, 0.128, 0.064, 0.032)  # s | size | the longest serve the lowest rates
FRAME_BENDS = ((), (-1.0, 1.0, 2.5), (-1.5, 1.5, 3.5), (-2.0, 2.5, 5.0), ())  # ln speed a s | choose | that are tried
FRAME_EVERY = (4, 2, 1, 1, 1)  # frames | size | long ones overlap so much that neighbours say nothing new
LOW_FRAMES = 2  # lengths | size | the longest, whose rates have all their orders in the lower half of the sound
FIRINGS_A_FRAME = 4.5  # firings | physics | a Hann window over so many parts an order from a half order
CHUNK_FRAMES = 256  # frames | size | that are looked at together, for memory
WHITENED_OVER_HZ = 350.0  # Hz | choose | to both sides of a level; wider than orders lie apart
QUIETEST_LEVEL = -1.5  # ln power | choose | of a whitened level; less counts no more
LOUDEST_LEVEL = 4.0  # ln power | choose | of a whitened level; more counts no more
TONES_FROM_HZ = 45.0  # Hz | practice | in the sound; phones pass little below
TONES_TO_HZ = 1700.0  # Hz | size | in the sound at half its rate
LOW_TONES_TO_HZ = 850.0  # Hz | size | in the sound at a quarter of its rate
TONE_TEETH = 16  # teeth | choose | of the comb in the sound
BURSTS_FROM_HZ = 8.0  # Hz | size | in the envelope
BURSTS_TO_HZ = 800.0  # Hz | size | in the envelope
BURST_TEETH = 8  # teeth | choose | of the comb in the envelope
BINS_BEYOND = 3  # bins | size | beyond the last tooth, so that it can be read between two
INSIDE = 0.001  # samples or bins | size | from the last, so that two lie about each place that is read
BETWEEN_WEIGH = 0.5  # weight | physics | of what stands between the teeth, so that half and twice a rate gain nothing
AROUND_WEIGH = 0.5  # weight | physics | of the whole band: together as much as the teeth, so noise gives nothing
AROUND_STEPS = 4  # places an order | size | at which the band is read; closer than a frame's bins
COMB_SCALE = 1.1  # evidence | choose | so that an engine heard well gives 1 and more
TABLES_KEPT = 32  # tables | size | of up to 1.5 MB; ten serve one number of firings a turn
NOISE_EVIDENCE = 0.1  # evidence | size | added to all: every limit on evidence below was chosen with it in
BEND_COSTS = 0.02  # evidence | choose | for each ln speed a second, so that noise bends no steady speed
FIRES_FROM_RPM = 1350.0  # rpm | practice | of firings that skip turns, other than in a climb: slower is tickover
CREEPS_BELOW = 0.8  # share | physics | of tickover's speed; an engine that is slower for long stalls
CREEPS_AFTER_FRAMES = 40  # frames | choose | from the beginning, which give tickover's speed
CREEPS_FROM = 0.8  # evidence | choose | from which firing is plain
CREEPS_FRAMES = 25  # frames | choose | below it that make a second search worth its time

# The path of the speed
NEVER = -1e9  # evidence | size | for what cannot be
RISES_LOG_S = 6.0  # ln speed a s | practice | fastest gain of a small engine's speed
FALLS_LOG_S = 2.5  # ln speed a s | practice | fastest fall of it
STEP_COSTS = 0.025  # evidence | choose | for each candidate that the speed moves in a frame
CHANGE_COSTS = 2.0  # evidence | choose | for a change of firing pattern, once
BEGINS_COSTS = 12.0  # evidence | choose | for beginning in another pattern than every turn: it begins ticking over
CAPPED_AT = 1.5  # evidence | choose | of a frame: a loud voice must not outweigh a quiet tickover
TURNS_WEIGH = 0.5  # weight | choose | of the turns heard between two firings
TURNS_FROM = 0.35  # evidence | choose | of them from which they speak for a pattern
TURNS_AT_LEAST = -0.3  # evidence | choose | that they count
TURNS_AT_MOST = 0.4  # evidence | choose | that they count
TWICE_WEIGHS = 0.5  # weight | choose | of what twice the firing rate explains more, against a pattern
TWICE_AT_MOST = 1.0  # evidence | choose | of it that counts
GLANCE_EVERY = 2  # frames | size | a first look at the path, to see where the speed stands still
MOVES_OVER_FRAMES = 5  # frames | size | over which a move of the speed is averaged
STEADY_STEPS = 0.8  # candidates a frame | choose | below, a frame need not be bent
CLEAR_EVIDENCE = 0.9  # evidence | choose | above, a steady frame need not be bent
BENT_FRAMES = 3  # frames | size | bent about each that is not steady
MOVES_PERCENTILES = (5, 95)  # percentiles | choose | of the speed, between which a clip moves
STANDS_STILL_LOG = 0.3  # ln speed | choose | an engine that moves more is not what stands still: hum, a compressor
STANDING_SHARE = 0.75  # share | choose | of what stands still that is taken out
STANDING_EVERY = 4  # frames | size | that are looked at for it
STANDING_BELOW = 0.2  # share | choose | of the frames that may show less
COURSE_WIDTH = 8  # candidates | choose | to both sides of a rev-out's course: there its speed is looked for once more

# The course of a rev-out
HIGHEST_IDLE_RPM = 3800.0  # rpm | practice | no small engine ticks over faster
CLIMBS_FROM_RPM = 2700.0  # rpm | practice | at most: where a climb begins
CLIMBS_TO_RPM = 3600.0  # rpm | practice | at least: where it ends
SKIPS_TO_RPM = 13000.0  # rpm | practice | an engine that skips turns is no faster: twice its speed explains it as well
LEAST_OPEN_RPM = 2000.0  # rpm | practice | no engine is slower with its throttle open and no load
QUIET_AT_LEAST = 0.4  # evidence | choose | of tickover and running down, which may be drowned: no worse than noise
QUIET_AT_MOST = 1.0  # evidence | choose | of tickover before the test and of running down
SETTLED_AT_MOST = 1.25  # evidence | choose | of tickover after the test, or it is taken for half the speed
OPEN_AT_MOST = 1.25  # evidence | choose | of an open throttle: a voice at its best gives more than an engine
BEYOND_WEIGHS = 0.15  # weight | choose | of evidence beyond those limits: the better of two stays the better
HALVES_WEIGH = 0.5  # weight | choose | of what twice tickover's speed explains more, against tickover
CLIMB_MIDDLE = 0.75  # evidence | choose | of a climb that counts neither for nor against it
CLIMB_WEIGH = 5.0  # weight | choose | of what a climb's evidence is above or below it: a climb makes a rev-out
CLIMB_PATTERN_COSTS = 0.03  # evidence | choose | of a frame of a climb in which not every turn fires
CLIMB_CHANGE_COSTS = 5.0  # evidence | choose | for a change of firing pattern in a climb, whose evidence weighs more
TICK_STEP_COSTS = 0.3  # evidence | choose | for each candidate that tickover moves in a frame
STANDS_COSTS = 4.0  # evidence | choose | of a frame in which a climb stands: no more than ticking over gives
OPEN_STEP_COSTS = 0.2  # evidence | choose | for each candidate a frame: an engine that is up moves less than a voice
TICKS_BY_CANDIDATES = 1  # candidates a frame | size | that tickover moves up or down
SHUTTING_COSTS = 3.0  # evidence | choose | for shutting the throttle
LOUD_SHUT_COSTS = 1.0  # evidence | choose | of a shut throttle, for each share of the clip's range above its middle
QUIET_OPEN_COSTS = 1.0  # evidence | choose | of an open throttle, for each share of it below its middle
LOUD_OVER_FRAMES = 3  # frames | size | over which loudness is averaged
LOUD_AMONG_FRAMES = 13  # frames | choose | among which the loudest counts where the throttle may be shut
QUIET_AMONG_FRAMES = 41  # frames | choose | the same where it may be open: gaps of failing firing are shorter
LOUD_PERCENTILES = (25, 92)  # percentiles | choose | of loudness, which stand for the clip's quietest and loudest
LOUD_RANGE = 0.4  # ln loudness | choose | between them at least, or nothing swells
AGAIN_COSTS = 70.0  # evidence | choose | for another go: a climb heard well earns that, a voice's hardly ever
BACKGROUND = 0.6  # evidence | choose | that noise gives along the best of many paths
AHEAD_LOG = 0.15  # ln speed | choose | how near the speed of the hold is the same speed
AHEAD_FRAMES = 60  # frames | choose | before the climb, and of the hold, in which it is looked for
CLIMB_TOTAL = 4.5  # evidence | choose | above BACKGROUND, summed along a climb; less is none
CLIMB_MEAN = 0.8  # evidence | choose | along a climb; less is none
CLIMB_TICKS_S = 0.25  # s | choose | of tickover before a climb

# The speed refined by phase
WINDOW_BLOCKS = (3, 5, 9, 17)  # blocks | size | halves of triangular windows, which let little of a near order in
FIRINGS_A_WINDOW = 4.0  # firings | size | that a window holds
TONE_HARMONICS = 12  # harmonics | choose | of the sound
BURST_HARMONICS = 6  # harmonics | choose | of the envelope
TURNS_AT_MOST_SHARE = 0.03  # share | size | of the firing rate by which a harmonic's phase may say it is off
REFINED_AT_MOST = 0.02  # share | physics | by which the speed may be moved: between two candidates, no further

# The parts of a rev-out
SPEED_OVER_BLOCKS = 7  # blocks | size | of a median over the speed
FOLLOW_S = 0.15  # s | choose | over which evidence is averaged
FOLLOWED_FROM = 0.8  # evidence | choose | from which firing is followed
SHOWN_FROM = 0.65  # evidence | choose | from which a speed is shown
FOLLOWED_AT_LEAST = 0.3  # share | choose | of a clip that is followed where there is no climb
HELD_S = 0.2  # s | manual | a peak is held for so long
REVVED_SHARE = 0.75  # share | choose | of the highest speed: a clip that begins there begins too late
REVVED_WITHIN_S = 1.0  # s | choose | of a clip's beginning
IDLE_BLOCKS = 150  # blocks | choose | before the rise, in which tickover and its loudness are looked for
IDLE_AT_LEAST_BLOCKS = 20  # blocks | choose | of it
IDLE_ENDS_BLOCKS = 5  # blocks | choose | before the rise
OPENING_AT_LEAST_S = 0.25  # s | choose | that must be heard before the rise
UP_SHARE = 0.3  # share | choose | of the rise: below, the hold is over
SHUT_SHARE = 0.95  # share | choose | of the speed just before: below, the engine is running down
SHUT_PERCENTILE = 85  # percentile | choose | which stands for the speed just before
LOOK_BACK_S = 0.5  # s | choose | just before
ENDS_FROM = 0.75  # evidence | choose | without which a speed is no sign that the throttle is open still
RISES_AGAIN_LOG_S = 0.25  # ln speed a s | choose | a speed that gains more has its throttle open: shut, it only falls
RISES_AGAIN_BLOCKS = 5  # blocks | choose | to both sides, over which the gain is taken
RISES_AGAIN_FROM = 0.65  # evidence | choose | without which such a gain is the path's own; failing firing leaves little
ENDS_OPEN_BLOCKS = 3  # blocks | choose | a hold that lasts to so near the end of the clip was not shut
SHUTS_BEFORE_S = 0.11  # s | fit | a shut throttle shows in the speed so much later
OPENS_AFTER_S = 0.12  # s | fit | the throttle is half open so long after the speed begins to leave tickover
WIND_TO_HZ = 150  # Hz | practice | loudness is taken above
SWELL_OVER_BLOCKS = 15  # blocks | choose | over which loudness is averaged for the opening
BOG_BLOCKS = 70  # blocks | practice | before the rise, in which the throttle may have been opened
SWELL_NEAR_BLOCKS = 20  # blocks | choose | after the rise; at least so many of tickover too
IDLE_PERCENTILE = 75  # percentile | choose | of loudness, which stands for tickover's
OPENING_SWELL = 0.5  # ln loudness | choose | by which the sound must swell to show the opening
SWELL_SHARE = 0.45  # share | fit | of the swell at which the slide is half up
SHARPENED_OVER_BLOCKS = 12  # blocks | choose | over which loudness is averaged for the end
SHARPENED_BLOCKS = (6, 12)  # blocks | choose | before and after, between which loudness drops
SHARPENED_NEAR_BLOCKS = (15, 25)  # blocks | choose | before and after the end that the speed suggests
SHARPENED_LEAST_BLOCKS = 10  # blocks | size | from the end of the clip
SHARPENED_DROP = 0.5  # ln loudness | choose | a smaller drop moves no end
LOUD_OVER_BLOCKS = 6  # blocks | choose | over which loudness is averaged to see whether it is gone for good
LOUD_AT_FIRST_BLOCKS = 60  # blocks | choose | of the hold, from when it came up,
LOUD_AT_FIRST_PERCENTILE = 75  # percentile | choose | of whose loudness is how loud it was then
LOUD_LEAST_BLOCKS = 20  # blocks | choose | of it; and by which the hold must end too late
QUIETER_FOR_GOOD = 1.0  # ln loudness | choose | by which all the rest of it is quieter
LULL_BLOCKS = 5  # blocks | choose | over which loudness is averaged for lulls
LULL_PERCENTILE = 5  # percentile | choose | of loudness in the hold against its middle

# The rise
IDLE_SPREAD_LOG = 0.22  # ln speed | practice | how near its lowest speed tickover stays
LEAST_RISE = 1.6  # times | practice | the speed in the hold against the speed before
RISES_WITHIN_S = 1.5  # s | practice | an opened throttle has done it by then
NEARLY_UP = 0.75  # share | choose | of the highest speed: the rise lies before
DOWN_SHARE = 0.3  # share | choose | of the rise: below, it is over
LOW_PERCENTILE = 30  # percentile | choose | of the speeds near the lowest, from which the rise begins
LEAVES_IDLE = 1.10  # times | choose | tickover's speed: from here on it rises
CLIMB_NEAR_BLOCKS = 60  # blocks | choose | a plain climb begins so near to where the speed leaves tickover
UP_WITHIN_S = 2.0  # s | practice | a climb has nearly ended so soon after its beginning
LEAP_BLOCKS = 15  # blocks | practice | a speed that leaps,
LEAP_LOG = 0.2  # ln speed | practice | by more than engines gain that are nearly up
LEAPS_FROM_RPM = 2500.0  # rpm | choose | below it is tickover still
LEAP_TIMES = 1.5  # times | choose | what the climb gained in LEAP_BLOCKS: thrown back an engine gains hardly more
CLIMBING = 1.06  # times | choose | who has gained so much in LEAP_BLOCKS is climbing
SAG_BLOCKS = 50  # blocks | choose | in which an engine may sag and recover
SAGS_TO = 0.75  # share | choose | of what it reached before, and no further
RECOVERS_TO = 1.02  # times | choose | what it reached before, and not beyond
COMES_BACK_LOG = 0.12  # ln speed | choose | how near a speed that leapt must come again
COMES_BACK_BLOCKS = 25  # blocks | choose | for how long
