"""The pages of the rules on splined and profiled shaft ends, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

ASSEMBLED = Rule(
    code="spline-00",
    title="shaft and bore taken together from one donor",
    checks="Whether the two ends are recorded as taken together, undisturbed, from one donor.",
    formula="None: a record answers for what nobody measured. What is known to be a misfit stands, but for an "
    "engagement that is short by rule only; a misfit that is only hearsay is told beside it.",
    source="None needed: they were one joint. Common practice, no source.",
    limits="None.",
    leaves_out="Worn or rusted teeth; another bolt than the donor's; the clock position that the two had.",
)
SEXES = Rule(
    code="spline-01",
    title="one shaft, one bore",
    checks="Whether one end is a shaft and the other a bore.",
    formula="None.",
    source="Geometry.",
    limits="None.",
    leaves_out="Couplers and sleeves that would join two shafts. Where a sex is not known nothing beyond the form of "
    "the teeth is looked at.",
)
COUNT = Rule(
    code="spline-02",
    title="number of teeth",
    checks="Whether both have the same number of teeth over the full circle. A count by eye may be one off and "
    "settles nothing by itself, unless the trade name says the same or a trial by hand passed. Fewer teeth "
    "present beside a flat are no fault. A master spline or blind tooth needs its counterpart. Not asked of double-D, "
    "triangular and plain ends.",
    formula="N1 = N2; otherwise at most gcd(N1, N2) teeth line up and the rest collide. Index step 360/N degrees, "
    "centred to half of that at worst. A notch, a flat, a pocket or an index leaves one position.",
    source="Geometry. Counts of trade names: common practice or memory, as the table of names says.",
    limits="None.",
    leaves_out="A count checked by a chord over several teeth (fitment bench spline does that); whether the one "
    "position suits the phase of the joints.",
)
FORM = Rule(
    code="spline-03",
    title="form of the teeth or profile",
    checks="Whether both have the same flanks (involute of one pressure angle, serration) or the same profile "
    "(double-D, triangular, plain). A form that nobody looked at is not known, unless both carry the same "
    "trade name.",
    formula="None: straight flanks in curved ones, or two pressure angles, touch on a line and do not fit.",
    source="Geometry. Forms: ANSI B92.1, ISO 4156, SAE J500, DIN 5481; no copy of any was at hand.",
    limits="None.",
    leaves_out="Side fit against major-diameter fit; straight-sided splines of a few wide teeth.",
)
SIZES = Rule(
    code="spline-04",
    title="diameters of shaft and bore",
    checks="Whether the shaft's crests clear the bottoms of the bore and its teeth reach deep enough into it; "
    "for a double-D, triangular or plain end whether it goes in and has no more play than allowed. A "
    "trade name is no diameter: two names whose diameters lie apart do not fit, the same name twice "
    "proves nothing. A serration, or a form that only a name stands for, is told by its crests only where "
    "it does not fit: inside the window it is not known, unless both carry the same trade name or a trial "
    "by hand passed. A failed trial does not fit.",
    formula="Involute: the smaller of Dri' - od and (od - Di) - spline_overlap x (Do' - Di), with Di the bore "
    "over its crests as measured and Do', Dri' those of a standard end of the same count with that Di: 45 "
    "degrees Di (N + 1)/(N - 0.6) and Di (N + 1.4)/(N - 0.6), 37.5 degrees (N + 1) and (N + 1.6) over (N "
    "- 0.8), 30 degrees (N + 1) and (N + 1.35) over (N - 1). Otherwise, with p = pi (od + Di)/2N the "
    "pitch: the smaller of 2 p/(tan 30 + tan(30 - 180/N)) - (od - Di), teeth of DIN 5481 with sharp "
    "points, and (od - Di) - spline_overlap x 1.6 p/pi. Double-D: od (of the bore, over its round) and "
    "flat; triangular: across; plain: od and minor; the smallest of each bore - shaft and profile_play - "
    "(bore - shaft).",
    source="Involutes: ANSI B92.1 as a CAD vendor's help page tabulates it, flat root at 30 degrees. Sharp "
    "serration: geometry, gap angle of DIN 5481 from memory. Diameters of trade names: as the table of "
    "names says; up to 0.8 mm below the name where nobody measured, common practice. spline_overlap, "
    "profile_play: own suggestion, no source.",
    limits="spline_overlap, profile_play.",
    leaves_out="Width of teeth and spaces (compare over pins, or try the pair by hand over its full length); ISO "
    "4156 and DIN 5480, whose bottoms lie less deep; an odd count, whose crests read up to 0.04 mm small "
    "between flat jaws; the roots of the shaft; wear.",
)
NAMES = Rule(
    code="spline-05",
    title="trade name against what was measured",
    checks="Whether the count or the outside diameter of an end contradicts the trade name that it carries. Told "
    "only where it does: the name is not the outside diameter, and either the name or the reading is "
    "wrong.",
    formula="od within 0.05 mm of what owners measured of that name; where nobody did, from 0.8 mm below the name "
    "up to the name; two standard uncertainties more either way.",
    source="Table of trade names (common practice or memory, row by row). 0.05 mm: own choice, no source.",
    limits="None.",
    leaves_out="Names that are not in the table; the bore, of which no outside diameter is read.",
)
ENGAGEMENT = Rule(
    code="spline-06",
    title="length of teeth engaged",
    checks="Whether enough of the teeth can engage, with the groove or pocket standing under the bolt or screw.",
    formula="The smallest of the shaft's full teeth, the bore's depth and the insertion that the bolt asks "
    "(spline-09), at least spline_engagement_factor x od.",
    source="One shaft diameter: common practice, no source.",
    limits="spline_engagement_factor.",
    leaves_out="What the groove itself takes away; teeth beside a flat; flank pressure. A shaft that could reach the "
    "cross gets a caution with the number.",
)
HOLDS = Rule(
    code="spline-07",
    title="what holds the shaft in the bore",
    checks="Whether something positive keeps the shaft from sliding out: a bolt across a groove or notch, or a "
    "set screw in a pocket. A pinch bolt without a groove, a set screw without a pocket, or no clamp at "
    "all does not fit. A clamp that only squeezes a shaft without a groove holds by friction alone and "
    "does not fit. A flat over the whole length lets the shaft slide: not known unless a notch is "
    "measured too. Weld-on: no check is built, not known.",
    formula="None.",
    source="The bolt is the positive stop, the clamping is the fit (gear maker's guide, common practice); a US "
    "recall of 1996 for a loose pinch joint. That friction alone does not do: our own limit, no source.",
    limits="None.",
    leaves_out="Slip shafts, whose other end is held; class and torque of the bolt, which must come from a source "
    "for the part; lock wire and lock nuts.",
)
CROSSES = Rule(
    code="spline-08",
    title="pinch bolt across the shaft",
    checks="Whether the bolt runs deep enough into the shaft to hold it, and the groove is deep enough to let it pass.",
    formula="t = od/2 - (e - db/2), with e the bolt's axis to the bore's axis and db the nominal diameter of the "
    "bolt; the smaller of t - bolt_overlap and groove depth - t. Where t <= 0 the bolt does not touch the "
    "shaft. An annular groove's depth is (od - groove-dia)/2 where no depth was read. A notch is 2 "
    "sqrt(R^2 - (e - db/2)^2) wide across the shaft.",
    source="Geometry. bolt_overlap: own suggestion, no source.",
    limits="bolt_overlap.",
    leaves_out="A bolt thinner than its nominal diameter (an undersized bolt defeats the stop); play of the bolt in "
    "its hole; a bolt that is not square to the shaft.",
)
IN_GROOVE = Rule(
    code="spline-09",
    title="pinch bolt in its groove, set screw in its pocket",
    checks="Whether the groove or pocket stands under the bolt or screw before the shaft bottoms, and the groove "
    "is wide enough for the bolt. A bolt that misses its groove does not fit.",
    formula="Insertion i = bolt-to-end + groove-position (or pocket-position), both to the middle. Reach: the "
    "bore's depth, or the shaft's protrusion where that is known and less. Bolt at the shaft's surface: w "
    "= 2 sqrt(r^2 - (r - t)^2), r = db/2 and t of spline-08, no more than db. Play = groove-width - w; "
    "the smaller of play and reach - i + play/2. Set screw: reach - i.",
    source="Geometry; a US recall of 2010 for bolts that missed their groove.",
    limits="None.",
    leaves_out="Whether the bolt was really put through the groove: it goes in as well where the shaft ends short of "
    "it, so look. Teeth that run out before the insertion is reached get a caution. The width of a "
    "pocket.",
)
RULES = (ASSEMBLED, SEXES, COUNT, FORM, SIZES, NAMES, ENGAGEMENT, HOLDS, CROSSES, IN_GROOVE)
