"""The numbers of the verdict, in the terms of limits.py: each with its unit, how it was chosen, and what it is.

What is fitted by a program stands in verdict/fitted.py.
"""

# Firings in the hold
LEAST_LOOKED_AT_S = 0.4  # s | size | of hold; in less there is nothing to measure
LEAST_CYCLES = 4  # firings | size | in less there is nothing to measure
WAVE_POINTS = 32  # points | size | of a firing's cycle in the sound
PULSE_POINTS = 12  # points | size | of a firing's cycle in the envelope
TEMPLATE_FIRINGS = 12  # firings | choose | to both sides: what a firing sounds like hereabouts
AROUND_FIRINGS = 60  # firings | choose | before, and after: how strong a firing is hereabouts
STRONG_PERCENTILE = 90  # percentile | saws | of those hereabouts, taken for a firing that did fire
USUAL_PERCENTILE = 90  # percentile | saws | of the hold's, above which
LOUDER_AT_MOST = 0.35  # ln loudness | saws | what is louder by more is a bark, no firing
FALLS_BY_ITSELF = 0.5  # ln loudness | saws | how much quieter firing may get in a hold without failing
LEVELS = (-4, 2)  # ln loudness | size | of a firing against its neighbours; beyond counts no more
LIKENESSES = (-1, 2)  # of a strong firing | size | beyond counts no more
RHYTHM_LEVELS = (-2, 0.5)  # ln loudness | saws | the same where a rhythm is sought
RHYTHM_LIKENESSES = (0, 1)  # of a strong firing | saws | the same
RHYTHM_FIRINGS = 24  # firings | choose | over which a rhythm shows
EVEN_FROM = 0.6  # correlation | saws | with which strengths come back in a rhythm
ALONE_FROM = 0.15  # share of it | saws | how unlike the next firing is: two that fire in a row are a cut, no rhythm
PULSE_ALONE_FROM = 0.05  # share of it | saws | the same, by the pulse alone
UNEVEN_FROM = 0.2  # spread | choose | strengths that hardly differ have no rhythm
MISSING_ODDS = (-4, 4)  # ln odds | size | of one firing; beyond counts no more

# Drop-outs
LEAST_MISSED = 3  # firings | manual | in a drop-out
LEAST_GAP_S = 0.025  # s | manual | of a drop-out
JOIN_S = 0.030  # s | manual | shorter gaps between drop-outs join
LEAST_DROP = 0.5  # ln loudness | choose | a failing stretch is quieter by so much: a change of tone alone is none
SPACINGS = 4  # spacings | choose | between firings to each side of a run; all but one alike make a pattern
LONG_GAP_S = 0.12  # s | choose | a run in which friction shows
SLOWS_LOG_S = 0.15  # ln speed a s | practice | that friction takes at least in it

# What is measured of the hold
BOG_S = 0.5  # s | practice | so soon after opening it is the slide carburettor, not the ignition
BOG_LEAVES_S = 0.3  # s | size | of the hold at least
AT_TOP = 0.88  # share | choose | of the hold's speed from which the climb is over
AT_TOP_PERCENTILE = 85  # percentile | choose | of the speed, which stands for the hold's
AT_TOP_BLOCKS = 10  # blocks | choose | after that it has settled
MEDIAN_BLOCKS = 5  # blocks | size | of a median over the speed
SETTLED_AT_LEAST_BLOCKS = 20  # blocks | size | of the hold that are looked at once it is up
QUICK_BLOCKS = 60  # blocks | choose | what changes more slowly is gain, wind or mixture
REGAINS_LOG_S = 0.3  # ln speed a s | choose | that an engine gains which is up and has been thrown back
ABRUPT_BETWEEN = (0.65, 0.92)  # of the climb | choose | between which a sound engine runs out of pull
ABRUPT_AT_LEAST_BLOCKS = 2  # blocks | size | that lie between them
FLUTTER_BLOCKS = 3  # blocks | choose | over which loudness is averaged
PULL_BEHIND_BLOCKS = 3  # blocks | choose | that the speed may be behind the loudness
ALIKE_AT_LEAST = 1e-6  # size | size | of what is correlated: less is rounding
SHALLOW = -0.45  # ln loudness | choose | below the strong ones hereabouts: walls leave a missed firing no quieter
DRY_AROUND_FIRINGS = 121  # firings | choose | among which strong ones are looked for
DRY_STRONG_PERCENTILE = 80  # percentile | choose | of loudness, which stands for them
DRY_LEVELS = (-2.5, 0.5)  # ln loudness | size | beyond counts no more
DECAY_NEPERS = 13.8  # ln power | physics | 60 dB, in which a decay time is given
ROOM_DECAY_S = 0.5  # s | practice | decay time of a workshop or a yard with walls
FRESH_AMONG_FIRINGS = 61  # firings | choose | over which the usual power is averaged
FRESH_AT_LEAST = 0.03  # share | choose | of the usual power
WEAK = -0.8  # ln loudness | saws | against firings hereabouts: below, a firing is weak
WEAKEST = 1.5  # ln loudness | choose | weaker counts no more
FEW_WEAK = 0.04  # share | saws | of weak firings that a sound engine may have: the logarithm starts there
ANSWERS_TO = 5  # firings | choose | that the speed responds to together
ANSWERS_WITHIN_S = (-0.02, 0.05)  # s | choose | from a little before to a little after
ANSWERS_AMONG = 61  # firings | choose | what changes more slowly is no response
ANSWERS_AT_LEAST = 20  # firings | size | in less there is no telling
SLOPE_S = 0.06  # s | size | over which a slope of the speed is taken
SLOWING_BLOCKS = 2  # blocks | size | to both sides of a drop-out's edge, whose speed is taken
DIVES_LOG_S = 1.3  # ln speed a s | practice | a faster fall is a dive
DIVES_BLOCKS = 20  # blocks | size | that fire, or there is no telling
# Drop-outs that are seldom are none where either of the rows below holds: a load or a gain swings, or a rhythm changes.
SELDOM = 0.25  # share | saws | of the time in drop-outs
NONE_WEAK = 0.035  # share | saws | of weak firings, with
NONE_SLOWS_LOG_S = 0.15  # ln speed a s | saws | that the engine does not lose meanwhile
NONE_GAINS_LOG_S = 0.02  # ln speed a s | saws | that the engine gains meanwhile
RICH_SHARE = 0.3  # share | saws | of the hold in an even rhythm: mostly

# Unclear by rule
LEAST_HOLD_S = 1.0  # s | manual | of a hold that can be judged
LONGEST_HOLD_S = 6.0  # s | practice | two to three are asked for; what runs at speed far longer works or passes by
LEAST_PEAK_RPM = 2500.0  # rpm | practice | an engine that is revved gets there
IDLE_BEFORE_S = 1.2  # s | choose | before the hold, in which tickover must be an engine's
IDLE_BEFORE_ENDS_BLOCKS = 15  # blocks | choose | before the hold
IDLE_EVIDENCE = 0.6  # evidence | choose | that it has then
UP_FROM = 0.75  # share | choose | of the peak: the climb is nearly over
CLIMB_BLOCKS = 15  # blocks | choose | of a climb at least
RISEN_TIMES = 2.6  # times | choose | tickover's speed, that shows a rise whose climb is not found,
RISEN_TICKS = 0.55  # evidence | choose | of tickover before it,
RISEN_SWELL = 0.25  # ln loudness | choose | by which the sound swells with it
LEAST_CLIMB = 0.6  # evidence | choose | in the climb: less is a jump through nothing
UP_ALREADY = 0.9  # evidence | choose | before the rise for the speed of the hold, while the sound does
SWELLS_NO_MORE = 0.1  # ln loudness | choose | not swell by more: the rise was before the clip
PLAIN_TOTAL = 12.0  # evidence | choose | of a climb that shows the rise where tickover is drowned,
PLAIN_MEAN = 0.95  # evidence | choose | along it,
PLAIN_TICKS_S = 0.6  # s | choose | after tickover of so long;
FAINT_TOTAL = 5.0  # evidence | choose | or of a fainter one,
FAINT_MEAN = 0.8  # evidence | choose | along it,
FAINT_TICKS_S = 1.2  # s | choose | after tickover of so long
DROWNED_SWELL = -0.3  # ln loudness | choose | by which the sound must swell with it,
DROWNED_PAUSE = -1.6  # ln loudness | choose | with no pause as speech has,
DROWNED_LOG_S = 1.3  # ln speed a s | choose | and fall no faster,
DROWNED_FALLS_AT_MOST = 0.1  # share | choose | for more of the time
SILENT_LULLS = -4.0  # ln loudness | fit | in the hold: an engine that turns is never so quiet
LEAST_SWELL = -0.6  # ln loudness | choose | an opened throttle does not quieten, with gain and noise
FASTEST_LOG_S = 2.0  # ln speed a s | practice | a faster fall no engine makes at speed,
FAST_FALLS_AT_MOST = 0.1  # share | choose | for more of the time
STILL_LOG_S = 0.15  # ln speed a s | choose | slower is standing still
STEP_LEAST_LOG = 0.04  # ln speed | choose | of a tune's step,
STEP_AT_MOST_S = 0.18  # s | choose | which lasts no longer
STILL_AROUND_S = 0.08  # s | choose | and has stillness to both sides
STEPS_FROM = 5  # steps | choose | make a tune,
STEPS_A_SECOND = 0.7  # steps a s | choose | and so many a second: an engine has hardly any
CLEAR_PERCENTILE = 60  # percentile | choose | of evidence in the hold, or the climb's,
LEAST_CLEAR = 0.8  # evidence | choose | where even a bad ignition fires
LEAST_HEARD = 0.55  # evidence | choose | at the median of the hold, which failing firing lowers

# The verdict
DIVES_AT_MOST = 0.15  # share | choose | of the time in which the speed may fall as no engine does that fires
OFTEN_WEAK = 0.28  # share | choose | of weak firings in no rhythm: it fails or cuts, however short each time
THROWN_BACK = 0.6  # correlation | choose | of speed and loudness from which the engine is thrown back
FAILS_OFTEN = 0.32  # share | choose | of weak firings in no rhythm: of 500 sound engines in noise two had 0.3
PULLS_PLAINLY = 0.65  # correlation | choose | of speed and loudness: of 500 sound engines in noise none had 0.6
PLAIN_CHANCE = 0.95  # share | choose | of breakdowns, at least, where one of them shows
REGAINS_OFTEN = 0.15  # share | choose | of the time in which an engine that is up gains speed: none sound has so much
GAINS_LOG_S = -0.2  # ln speed a s | choose | a speed that gains more while firing fails: a gain swings, none fails
FEATURES_AT_MOST = 3  # spreads | size | from a feature's mean; beyond counts no more
SUREST = 0.985  # share | practice | sounds unlike those it was fitted on will come
TRACE_BLOCKS = 2  # blocks | manual | from one point of the trace to the next: 0.02 s, where 0.05 is allowed
CEILING_PERCENTILE = 85  # percentile | manual | of speed, which is the ceiling
CEILING_FROM = 0.3  # share | choose | of the hold, from where it is taken if no drop-out says so
