//! Examples under the help of single commands.

pub(super) const LOOK_HELP: &str = "Examples:
  toft look front-lawn                               what it may be by season and place, and the first look
  toft look front-lawn colour=straw tug=rolls        with what was seen
  toft look front-lawn dig=8,5,12 --cut sqft         with counts from three places of a square foot
  toft look front-lawn dig=8,5,12 --size 60 --gap 9  with the patch measured: seed, product and water for it";

pub(super) const FAULT_HELP: &str = "Examples:
  toft fault                                         the symptoms
  toft fault SYMPTOM                                 likeliest causes and the first test
  toft fault SYMPTOM TEST=OUTCOME …                  with what was measured";

pub(super) const PLANT_HELP: &str = "Examples:
  toft plant                                         the plants
  toft plant arb                                     what it may be by season, and the first look
  toft plant arb part=inner tap=many                 with what was seen
  toft plant arb --area hedge part=low side=road     with what lies on its ground, and how to write it down
  toft plant hedge length=40ft width=4ft             plants of a hedge row; rows=two-staggered for two
  toft plant gap neighbours=8 sizes=3,5,6 growth=1   which size of a replacement to buy
  toft plant hole ball=12in ball_depth=10in          hole, mulch ring and water of one plant";

pub(super) const PRESSURE_HELP: &str = "Examples:
  toft log supply static=62 flow=12 working=50 meter=3/4 backflow=double-check
  toft pressure                                      every zone in a line
  toft pressure zone-1-front --working               from street to head, each step
  toft pressure side --heads 8 --flow 14 --length 90 a zone whose heads are not drawn";

pub(super) const WEEDS_HELP: &str = "Examples:
  toft weeds                                         stages now and ahead, and what is worth acting on
  toft weeds form=broad stem=square                  which weed it is, by its marks
  toft weeds ground-ivy --area back-lawn --share 20  what fits against it, where it stands on a fifth of the ground
The label on the container is the law; it must name your ground and your grass.";

pub(super) const PROGRAMME_HELP: &str = "Examples:
  toft programme                    the week's programmes for the controller
  toft programme --rain 0.5in       what that rain tonight lets you leave out
  toft log controller programmes=3 starts=4 longest=240";

pub(super) const MAP_HELP: &str = "Examples:
  toft map                                   sizes, zones, what to look at again
  toft map zone zone-1-front                 where that zone's water falls, and the change that gains most
  toft map sun                               hours of direct sun by month
  toft map between 2017-05-01 2018-05-01     ground gained and lost
  toft map read yard.geojson                 read outlines from a file (GeoJSON, KML, KMZ)
  toft map write yard.kml                    write the map (GeoJSON or KML, by the name)
  toft map sheet yard.pdf                    the survey sheet (PDF or SVG, by the name)
Buried lines are only where somebody drew them: before digging have them marked (US: call or click 811).";

pub(super) const LOG_HELP: &str = "Without KIND the kinds and their fields are listed. Examples:
  toft log mowed areas=front-lawn,back-lawn height=3.5in
  toft log rain depth=0.4 --on 2026-05-03
  toft log applied areas=front-lawn product=prodiamine-granule rate=2.5 watered_in=0.5in
Numbers are in your yard's units; a unit may stand behind them.";

pub(super) const CHECK_HELP: &str = "Examples:
  toft check apply areas=front-lawn product=prodiamine-granule rate=2.5 --on 2026-04-20
  toft check sow area=play-lawn grass=ttf rate=5 sowing=over --on 2026-05-01
The product's own label and local law govern; this check only repeats what is known of them.";

pub(super) const CALC_HELP: &str = "Examples:
  toft calc --list
  toft calc zone-run-time need_mm=12 rate_mm_h=13.6 du_lq=0.74 scheduling=low-half
  toft calc et0 < days.json
JSON is read from standard input or --input: one object, or an array for a batch. Exit status 2 when an item was refused.";
