#!/usr/bin/env python3
"""Takes each rule of the label checks away in turn and fails where no test minds.

    crates/yard/tests/mutations.py            every rule, one after the other
    crates/yard/tests/mutations.py interval   only the rules whose names hold the word

A copy of the workspace is built once, with a switch before every rule; then the tests run once for each rule switched off. Needs cargo
and Python 3, nothing else; takes some minutes, so it stands beside ./check and is run when a check changes.
"""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[3]
CHECKS = "crates/yard/src/advice/checks/"
# Quick tests first; the slow ones and the hundred thousand histories are asked only where these do not mind.
SLOW = ["a_clear_day_is_clear", "the_ground_itself_decides"]
QUICK = ["checks::", "ground::", "map::", "shed::", "histories::found", "histories::lesser"]
STAGES = [[*QUICK, *(word for slow in SLOW for word in ("--skip", slow))], [*SLOW, "histories::checks_and"]]

# A rule is taken away by one of these: its call is not made, its condition never holds, or its list is empty.
CALL = "if !crate::off({name}) {{ {text} }}"
NEVER = "{text} && !crate::off({name})"
NOTHING = "{text}.filter(|_| !crate::off({name}))"
# Name, file, text that stands there exactly once, what becomes of it.
RULES = [
    # Calls of whole rules.
    ("rate", "mod.rs", "label::rate(&mut book, active, product, dose);", CALL),
    ("site and tolerance", "mod.rs", "label::site_and_tolerance(&mut book, active, product, area);", CALL),
    ("seedlings", "mod.rs", "label::seedlings(&mut book, &of, product, area);", CALL),
    ("yearly maximum", "mod.rs", "label::yearly_maximum(&mut book, &of, product, area, dose);", CALL),
    ("interval", "mod.rs", "label::interval(&mut book, &of, product, area);", CALL),
    ("seed to come", "mod.rs", "label::seed_to_come(&mut book, &of, product, area);", CALL),
    ("hard ground", "mod.rs", "label::hard_ground(&mut book, area);", CALL),
    ("label's ground", "mod.rs", "label::label_ground(&mut book, product, area);", CALL),
    ("same group again", "mod.rs", "rotation::same_group_again(&mut book, product, area);", CALL),
    ("near water", "mod.rs", "place::near_water(&mut book, product, area);", CALL),
    ("playing", "mod.rs", "place::playing(&mut book, product, area);", CALL),
    ("weather on the day", "mod.rs", "day::weather_on_the_day(&mut book, product);", CALL),
    ("nutrients", "mod.rs", "day::nutrients(&mut book, product);", CALL),
    ("local rules", "mod.rs", "local::feeding(&mut book, product);", CALL),
    ("label's rate", "mod.rs", "&& work.rate_g_m2 > max * (1.0 + 1e-6)", NEVER),
    # Sowing.
    ("sowing: wait", "mod.rs", "found.extend(label::seed_gap(scene, &of, product, seed, treated, on, true));", CALL),
    ("sowing: planned treatments", "mod.rs", "done.chain(planned)", "done.chain(planned.filter(|_| !crate::off({name})))"),
    ("sowing: overdue plans come today", "mod.rs", "Some((p.on.max(scene.on), a))",
     "Some((if crate::off({name}) {{ p.on }} else {{ p.on.max(scene.on) }}, a))"),
    ("sowing: cold soil", "mod.rs", "if soil < grass.germination_min_c", NEVER),
    ("sowing: hot soil", "mod.rs", "&& soil > max", NEVER),
    ("sowing: seed rate", "mod.rs", "if let Some(range) = usual", "if let Some(range) = usual.filter(|_| !crate::off({name}))"),
    # Rate.
    ("rate: slip", "label.rs", "if dose > SLIP * range.high", NEVER),
    ("rate: the label goes before", "label.rs", "if product.label.rate_max_g_m2.is_some()", NEVER),
    ("rate: highest", "label.rs", "if dose > range.high * 1.001", NEVER),
    ("rate: lowest", "label.rs", "else if dose < range.low * 0.999", NEVER),
    # Ground and grasses.
    ("site: the label's list", "label.rs", "if !product.label.sites.is_empty() && !product.label.sites.contains(&site)", NEVER),
    ("site: the ingredient's list", "label.rs", "if product.label.sites.is_empty() && !active.sites.contains(&site)", NEVER),
    ("tolerance: forbidden grasses", "label.rs", "if product.label.grasses_not.contains(grass)", NEVER),
    ("tolerance: named grasses", "label.rs", "else if !product.label.grasses.is_empty() && !product.label.grasses.contains(grass)", NEVER),
    ("tolerance: injured", "label.rs", "Some(row) => {",
     "Some(row) if crate::off({name}) && row.tolerance == Tolerance::Injured => {{}}\n        {text}"),
    ("tolerance: marginal", "label.rs", "Tolerance::Tolerant => return,",
     "{text}\n Tolerance::Marginal if crate::off({name}) => return,"),
    ("tolerance: unknown", "label.rs", "None => {\n            let message = format!(\n                \"{}: nothing known",
     "None if crate::off({name}) => {{}}\n        {text}"),
    # The year.
    ("year: amount", "label.rs", "if over(total, most) {", "if over(total, most) && !crate::off({name}) {{"),
    ("year: near the maximum", "label.rs", "else if total > NEAR_MAXIMUM * most && used > 0.0", NEVER),
    ("year: times", "label.rs", "&& number as f64 > limit.value", NEVER),
    ("year: any 365 days", "label.rs", "std::iter::once(calendar).chain(spans)",
     "std::iter::once(calendar).chain(spans.filter(|_| !crate::off({name})))"),
    ("year: the calendar's", "label.rs", "std::iter::once(calendar)", "std::iter::once(calendar).filter(|_| !crate::off({name}))"),
    ("year: this label's amount", "label.rs", "chain(own_most.filter(|_| counts_so))", "chain(own_most.filter(|_| counts_so && !crate::off({name})))"),
    ("year: other labels' amounts", "label.rs", "of_the_year().filter_map(|p| most_of(p.label, p.alone))",
     "{text}.filter(|_| !crate::off({name}))"),
    ("year: a mixture's amount is no one's", "label.rs", "label.active_yearly_max_g_m2.filter(|_| alone)",
     "label.active_yearly_max_g_m2.filter(|_| alone || crate::off({name}))"),
    ("year: the almanac's amount", "label.rs", "row().filter(|_| no_most && counts_so)", NOTHING),
    ("year: this label's times", "label.rs", "chain([own].into_iter().filter(|_| counts_so))",
     "chain([own].into_iter().filter(|_| counts_so && !crate::off({name})))"),
    ("year: other labels' times", "label.rs", "of_the_year().map(|p| p.label)", NOTHING),
    ("year: the almanac's times", "label.rs", "times_row().filter(|_| no_times && counts_so)", NOTHING),
    ("year: too much at once names no day", "label.rs", "clear_on.filter(|_| !never)", "clear_on.filter(|_| !never || crate::off({name}))"),
    # Interval.
    ("interval: the other label's", "label.rs", "[put.label.interval_days.map(label), own.clone()]",
     "[put.label.interval_days.map(label).filter(|_| !crate::off({name})), own.clone()]"),
    ("interval: this label's", "label.rs", "let own = product\n        .label\n        .interval_days", NOTHING),
    ("interval: the almanac's", "label.rs", "of.active.and_then(|a| a.interval_days.as_ref())", NOTHING),
    ("interval: the gravest goes first", "label.rs", "a.level.cmp(&b.level).then(b.value.total_cmp(&a.value))",
     "if crate::off({name}) {{ b.value.total_cmp(&a.value) }} else {{ {text} }}"),
    # Young grass.
    ("seedlings: days", "label.rs", "&& let days = Yard::days_between(*sown, on)", NEVER),
    ("seedlings: this label's days", "label.rs", ".seedling_days\n        .map(label)", NOTHING),
    ("seedlings: the almanac's days", "label.rs", "of.active.and_then(|a| a.seedling_days.as_ref())", NOTHING),
    ("seedlings: mowings", "label.rs", ".filter(|(cut, ..)| (*cut as f64) < limit.value)",
     ".filter(|(cut, ..)| (*cut as f64) < limit.value && !crate::off({name}))"),
    ("seedlings: this label's mowings", "label.rs", ".seedling_mowings\n        .map(label)", NOTHING),
    ("seedlings: the almanac's mowings", "label.rs", "of.active.and_then(|a| a.seedling_mowings.as_ref())", NOTHING),
    ("seedlings: with the seed", "label.rs", "0 => !with_seed(&seed.grass)", "0 => !with_seed(&seed.grass) || crate::off({name})"),
    ("seedlings: a year old is established", "label.rs", "(1..=365).contains(&days)", "(1..=365).contains(&days) || crate::off({name}) && days > 0"),
    ("seedlings: planned sowings", "label.rs", "Work::Sow(s) => Some((p.on.max(scene.on), s)),",
     "Work::Sow(_) if crate::off({name}) => None,\n        {text}"),
    # Waits before sowing.
    ("wait: this label's", "label.rs", "if let Some(v) = product.label.seed_wait_days", NOTHING),
    ("wait: the almanac's", "label.rs", "of.active?.seed_wait_for(grass)?", "of.active.filter(|_| !crate::off({name}))?.seed_wait_for(grass)?"),
    ("wait: care", "label.rs", "else if (days as f64) < caution.value", NEVER),
    ("wait: seed planned", "label.rs", "sown.chain(planned)", "sown.chain(planned.filter(|_| !crate::off({name})))"),
    ("wait: seed sown", "label.rs", "sown.chain(", "sown.filter(|_| !crate::off({name})).chain("),
    # What lies on the ground.
    ("history: done", "book.rs", "done.chain(planned)", "done.filter(|_| !crate::off({name})).chain(planned)"),
    ("history: planned", "book.rs", "let planned = scene.yard.plans.iter()", NOTHING),
    ("history: overdue plans come today", "book.rs", "p.on.max(scene.on), a, true",
     "if crate::off({name}) {{ p.on }} else {{ p.on.max(scene.on) }}, a, true"),
    ("history: not against itself", "book.rs", "Some(*id) != except", "(Some(*id) != except || crate::off({name}))"),
    ("history: plans of the work done", "book.rs", "if done_work && same(a)", "if !crate::off({name}) && done_work && same(a)"),
    ("history: only the ground it lay on", "book.rs", "a.areas.iter().any(|k| plot.has(scene.yard, k, on))",
     "(crate::off({name}) || a.areas.iter().any(|k| plot.has(scene.yard, k, on)))"),
    ("ground: as it lay on the day", "book.rs", "scene.yard.plots(a, on)",
     "scene.yard.plots(a, if crate::off({name}) {{ Date::MAX }} else {{ on }})"),
    ("ground: a drawing taken back", "../../ground.rs", "drawn.chain([own])", "drawn.filter(|_| !crate::off({name})).chain([own])"),
    ("ground: by its name", "../../ground.rs", "lies_in.insert(Ground::Named(area));", CALL),
    # The day.
    ("day: wind", "day.rs", "wind(book, product);\n", CALL + "\n"),
    ("day: wind of the label", "day.rs", "let (stop, source) = match product.label.wind_max_ms", NOTHING),
    ("day: wind stops", "day.rs", "if wind > stop", NEVER),
    ("day: wind outside the good range", "day.rs", "else if liquid && (wind < WIND_GOOD_MS.0 || wind > WIND_GOOD_MS.1)", NEVER),
    ("day: wind and granules", "day.rs", "else if !liquid && wind > WIND_CARE_GRANULE_MS", NEVER),
    ("day: wind to be measured", "day.rs", "if liquid {\n            match product.label.wind_max_ms",
     "if liquid && !crate::off({name}) {{\n            match product.label.wind_max_ms"),
    ("day: heat", "day.rs", "&& air > limit.value", NEVER),
    ("day: cold", "day.rs", "&& air < limit.value", NEVER),
    ("day: the label goes before", "day.rs", "told.map(|v| (product.name.as_str(), label(v)))", NOTHING),
    ("day: rain expected", "day.rs", "(Some(hours), _) if hours < limit.value", NEVER),
    ("day: rain that fell", "day.rs", "(None, Some(fell)) if fell > 2.5", NEVER),
    ("day: look at the forecast", "day.rs", "(None, None) => {", "(None, None) if !crate::off({name}) => {{"),
    ("day: washing in", "day.rs", "if given.is_none_or(|mm| mm + 0.5 < limit.value)", NEVER),
    ("day: mown before", "day.rs", "mown_before(book, &actives);", CALL),
    ("day: bloom", "day.rs", "actives.iter().find(|a| a.harms_bees)", NOTHING),
    ("day: open flowers", "day.rs", "if book.work.flowers_open", NEVER),
    ("day: re-entry", "day.rs", "if let Some(hours) = product.label.reentry_hours", NOTHING),
    ("day: water buffer", "day.rs", "from_label(product, product.label.water_buffer_m, buffer)", NOTHING),
    ("day: frozen ground", "day.rs", "if sky.soil_c < 0.5", NEVER),
    ("day: nitrogen at once", "day.rs", "if n > most * 1.001", NEVER),
    ("day: slow nitrogen", "day.rs", "else if slow && n > NITROGEN_ONCE_G_M2 * 1.001", NEVER),
    ("day: nitrogen in heat", "day.rs", "if quick > 1.0 && hot > HOT_C", NEVER),
    ("day: phosphate", "day.rs", "phosphate(book, &key);", CALL),
    ("day: phosphate with seed sown", "day.rs", "&& !sown && !to_sow", "&& (!sown || crate::off({name})) && !to_sow"),
    ("day: phosphate with seed planned", "day.rs", "&& !to_sow)", "&& (!to_sow || crate::off({name})))"),
    ("day: phosphate by the soil test", "day.rs", "wants_phosphate(scene.yard, scene.almanac, area, on)", NOTHING),
    ("day: phosphate by a local rule", "day.rs", "if let Some(rules) = scene.yard.local_rules.as_ref()", NOTHING),
    ("day: phosphate by rule and test", "day.rs", "let level = if rule.is_some()", NEVER),
    # The place.
    ("place: water's edge", "place.rs", "Thing::WaterEdge =>", "Thing::WaterEdge if crate::off({name}) => continue,\n            {text}"),
    ("place: well", "place.rs", "Thing::Well =>", "Thing::Well if crate::off({name}) => continue,\n            {text}"),
    ("place: mixing at a well", "place.rs", "if mixing && gap < WELL_MIXING_M", NEVER),
    ("place: the label's strip", "place.rs", "product.label.water_buffer_m.unwrap_or(typical)",
     "product.label.water_buffer_m.filter(|_| !crate::off({name})).unwrap_or(typical)"),
    ("place: the label's strip stops", "place.rs", "Some(own) if gap < own", NEVER),
    ("place: children", "place.rs", "Thing::Play =>", "Thing::Play if crate::off({name}) => continue,\n            {text}"),
    ("place: pets", "place.rs", "Thing::Pets =>", "Thing::Pets if crate::off({name}) => continue,\n            {text}"),
    # Local rules.
    ("local: season", "local.rs", "&& let Some(clear) = season_ends(book.on, from, until)", NEVER),
    ("local: nitrogen at once", "local.rs", "&& nitrogen > most * (1.0 + 1e-6)", NEVER),
    ("local: nitrogen in the year", "local.rs", "if total > most * (1.0 + 1e-6)", NEVER),
    ("local: on lawns alone", "local.rs", "scene.yard.area(key).filter(|a| a.cover == Cover::Turf)",
     "scene.yard.area(key).filter(|a| a.cover == Cover::Turf || crate::off({name}))"),
    ("local: the year's days", "local.rs", "*on >= first && *on <= last", "(*on >= first && *on <= last || crate::off({name}))"),
    # Rotation.
    ("rotation: another group ends the row", "rotation.rs", "take_while(|(_, same)| *same)", "take_while(|(_, same)| *same || crate::off({name}))"),
    ("rotation: names another group", "rotation.rs", ".take(3)", ".take(if crate::off({name}) {{ 0 }} else {{ 3 }})"),
]

SWITCH = '''
/// Whether a rule is switched off.
pub(crate) fn off(name: &str) -> bool {
    static OFF: std::sync::LazyLock<String> = std::sync::LazyLock::new(|| std::env::var("TOFT_RULE_OFF").unwrap_or_default());
    *OFF == name
}
'''


def put_switches(copy):
    """Writes a switch before every rule; a text that is not there exactly once stops the run, for the list is out of date."""
    for name, file, text, becomes in RULES:
        path = (copy / CHECKS / file).resolve()
        source = path.read_text()
        # Two rules may share a text; the switches already written are no text of the source.
        if source.count(text) != 1:
            sys.exit(f"mutations: “{name}”: the text stands {source.count(text)} times in {file}: {text!r}")
        path.write_text(source.replace(text, becomes.format(name=f'"{name}"', text=text)))
    lib = copy / "crates/yard/src/lib.rs"
    lib.write_text(lib.read_text() + SWITCH)


def run(binary, where, filters, off):
    env = dict(os.environ, TOFT_RULE_OFF=off, INSTA_UPDATE="no", RUST_BACKTRACE="0")
    done = subprocess.run([binary, *filters], cwd=where, env=env, capture_output=True, text=True)
    failed = sorted(set(re.findall(r"^test (\S+) \.\.\. FAILED", done.stdout, re.M)))
    if done.returncode != 0 and not failed:
        sys.exit(f"mutations: the tests did not run with “{off}” off:\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
    return failed


def main():
    words = sys.argv[1:]
    chosen = [rule[0] for rule in RULES if not words or any(w in rule[0] for w in words)]
    with tempfile.TemporaryDirectory(prefix="toft-mutations-") as scratch:
        copy = pathlib.Path(scratch)
        for part in ["Cargo.toml", "Cargo.lock", "rustfmt.toml", "crates", "data", "demo"]:
            source = ROOT / part
            if source.is_dir():
                shutil.copytree(source, copy / part, ignore=shutil.ignore_patterns("target", "node_modules"))
            else:
                shutil.copy(source, copy / part)
        put_switches(copy)
        target = os.environ.get("CARGO_TARGET_DIR", str(ROOT / "target"))
        build = ["cargo", "test", "-p", "yard", "--test", "yard", "--no-run", "--target-dir", f"{target}/mutations"]
        built = subprocess.run(build, cwd=copy, capture_output=True, text=True)
        if built.returncode != 0:
            sys.exit(f"mutations: the copy does not build:\n{built.stderr[-4000:]}")
        binary = re.findall(r"Executable .* \((.*)\)", built.stderr)[-1]
        where = copy / "crates/yard"
        if not words:
            failed = [name for stage in STAGES for name in run(binary, where, stage, "")]
            if failed:
                sys.exit(f"mutations: with every rule in force these fail: {', '.join(failed)}")
        survived = []
        for name in chosen:
            failed = next(filter(None, (run(binary, where, stage, name) for stage in STAGES)), [])
            print(f"{name:42} {', '.join(failed) if failed else 'SURVIVED'}", flush=True)
            if not failed:
                survived.append(name)
    print(f"{len(chosen) - len(survived)} of {len(chosen)} rules are missed by a test when they are taken away")
    sys.exit(1 if survived else 0)


if __name__ == "__main__":
    main()
