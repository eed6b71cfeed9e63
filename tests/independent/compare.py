"""Random rigs through the program and through solver.c; every tension of every situation at rest side by side.

    python3 tests/independent/compare.py --rigs 200 --seed 1
"""
import argparse
import json
import math
import multiprocessing
import pathlib
import re
import shlex
import subprocess
import sys
import time

sys.dont_write_bytecode = True
import rigs  # noqa: E402

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent


def build(folder):
    binary = folder / "solver"
    subprocess.run(["gcc", "-O2", "-o", str(binary), str(HERE / "solver.c"), "-lm"], check=True)
    return binary


class Solver:
    """The other side, kept running."""

    def __init__(self, binary, prove=False):
        self.command = [str(binary)] + ["prove"] * prove
        self.child = self.start()

    def start(self):
        return subprocess.Popen(self.command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def rig(self, text, cases):
        """The length found, then [(solved, numbers)] case by case."""
        self.child.stdin.write(text + "".join(f"case {c}\n" for c in cases))
        self.child.stdin.flush()
        length = self.child.stdout.readline().split()
        rows = [self.child.stdout.readline().split() for _ in cases]
        if not length or not all(rows):
            # It ended: said as a rig that this side has no answer for, and begun anew.
            self.child.wait()
            self.child = self.start()
            return math.nan, [(False, [])] * len(cases)
        return float(length[2]) if length[1] == "1" else math.nan, [(row[0] == "1", [float(v) for v in row[1:]]) for row in rows]


def case_of(name, rig, ids):
    """A situation's numbers from its name; None if it is not one that is made here."""
    for own in rig.cases:
        if own["name"] == name:
            loads = "".join(f" {share!r} {mass!r} {rig.area!r}" for share, mass in own["loads"])
            return f'{0} {own["degrees"]} {own["wind"]} {len(own["loads"])}{loads}'
    base, _, rest = name.partition(", ")
    variant, degrees, wind = 0, 0, 0.0
    if rest in ids:
        variant = ids[rest]
    elif rest in ("coldest", "warmest"):
        degrees = -rig.cold_by if rest == "coldest" else rig.warm_by
    elif match := re.fullmatch(r"(wind|storm) from the (right|left)", rest):
        wind = (rig.wind if match[1] == "wind" else rig.storm) * (1 if match[2] == "right" else -1)
    elif rest:
        return None
    if base == "standing":
        loads = ""
    elif match := re.fullmatch(r"(walker|bounce|(\d) at) ([\d.]+)", base):
        heaviest = sorted(rig.walkers, reverse=True)
        many = int(match[2]) if match[2] else 1
        # more than the plan names: the heaviest once more
        mass = sum(heaviest[i] if i < len(heaviest) else heaviest[0] for i in range(many)) * (rig.bounce if match[1] == "bounce" else 1)
        loads = f" {match[3]} {mass!r} {rig.area!r}"
    else:
        return None
    return f"{variant} {degrees} {wind} {1 if loads else 0}{loads}"


def reports(text):
    """One report, an array of them, or one a line."""
    try:
        found = json.loads(text)
        return found if isinstance(found, list) else [found]
    except json.JSONDecodeError:
        return [json.loads(line) for line in text.splitlines() if line.strip()]


class Tally:
    def __init__(self):
        self.rigs = self.cases = self.tensions = self.left = self.clearances = 0
        self.worst, self.bad, self.trouble, self.mine, self.theirs, self.where = {}, [], [], 0.0, 0.0, 0.0
        self.length = self.clear = self.sag = self.residual = 0.0

    def add(self, other):
        for key in ("rigs", "cases", "tensions", "left", "clearances", "mine", "theirs"):
            setattr(self, key, getattr(self, key) + getattr(other, key))
        for key in ("where", "length", "clear", "sag", "residual"):
            setattr(self, key, max(getattr(self, key), getattr(other, key)))
        for kind, worst in other.worst.items():
            self.worst[kind] = max(self.worst.get(kind, (0.0, "")), worst)
        self.bad += other.bad
        self.trouble += other.trouble


def kind_of(name):
    base, _, rest = name.partition(", ")
    rest = "leg short" if "short" in rest else rest.split(" ")[0]
    return base.split(" ")[0].replace("2", "n").replace("3", "n") + (" / " + rest if rest else "")


def compare(rig, path, report, solver, tally, tolerance):
    ids, _ = rigs.variants(rig)
    tally.rigs += 1
    for case in report.get("unsolved", []):
        if not case_of(case["words"], rig, ids):
            continue
        tally.trouble.append(f"{path}: the program leaves {case['words']!r} unsolved: {case['why']}")
    wanted = []
    for case in report["cases"]:
        if case["class"] != "working":
            continue
        line = case_of(case["words"], rig, ids)
        if line is None:
            tally.left += 1
        elif not case["solved"]:
            tally.trouble.append(f"{path}: the program has no certificate for {case['words']!r}")
        else:
            wanted.append((case, line))
    start = time.perf_counter()
    length, rows = solver.rig(rigs.numbers(rig), [line for _, line in wanted])
    tally.mine += time.perf_counter() - start
    tally.length = max(tally.length, abs(length - report["line"]["target_part_m"]) / rig.span)
    line = next((c for c in report.get("clearances", []) if c["what"] == "line"), None)
    lowest = math.inf
    for (case, asked), (good, row) in zip(wanted, rows):
        if not good:
            tally.trouble.append(f"{path}: solver.c finds nothing for {case['words']!r}")
            continue
        tally.cases += 1
        tally.residual = max(tally.residual, row[1])
        told = {"standing": "standing", "walker 0.50": "walker_mid"}.get(case["words"])
        if told:
            off = abs(row[4] - report["line"]["sag_m"][told]) / rig.span
            tally.sag = max(tally.sag, off)
            if off > 1e-4:
                tally.bad.append(f"{path}: {case['words']}: sag {row[4]:.4f} m here, {report['line']['sag_m'][told]:.4f} m there")
        low, rest = min(row[2], row[3]), row[6:]
        mine = {"main A": row[2], "main B": row[3]}
        mine.update({one["name"]: t for one, t in zip(rig.legs, rest)})
        segments = len(rig.tied) + 1
        mine["backup"] = max(rest[len(rig.legs):len(rig.legs) + segments])
        theirs = {}
        for name, run in case["runs"].items():
            t = run["tension_N"]
            theirs.update({f"{name} A": t["A"], f"{name} B": t["B"]} if isinstance(t, dict) else {name: t})
        for name, t in mine.items():
            tally.tensions += 1
            # A backup may carry far more than a nearly slack line: then it is held against itself.
            off = abs(t - theirs[name]) / max(low, abs(t)) if name in theirs else 1.0
            kind = kind_of(case["words"])
            if off > tally.worst.get(kind, (0.0, ""))[0]:
                tally.worst[kind] = (off, f"{path}: {case['words']}: {name}")
            if not off <= tolerance:
                tally.bad.append(f"{path}: {case['words']}: {name}: {t:.2f} N here, {theirs.get(name, math.nan):.2f} N there ({off * 100:.2f} % of it or of the line's)")
        free = [name for name, p in rig.points.items() if not p["fixed"]]
        for i, name in enumerate(free):
            point = case["points"].get(name)
            if point and point["at_m"] and point["resultant_N"] > 50:
                place = rest[len(rig.legs) + segments + 3 * i:][:3]
                tally.where = max(tally.where, math.dist(place, point["at_m"]))
        # Heights are worked out where somebody is on the line; the program looks at them with legs as drawn.
        somebody = asked.split()[3] != "0"
        if line and somebody and "short" not in case["words"]:
            tally.clearances += 1
            lowest = min(lowest, row[5])
    if not line or lowest == math.inf:
        return
    # What the program has left over what it asks for may not be more than what is left here over two metres, which are asked
    # for at least; nor may it meet where the line comes within them.
    higher = (line["found_m"] - line["needed_m"]) - (lowest - 2.0)
    tally.clear = max(tally.clear, higher)
    if higher > 0.02:
        tally.bad.append(f"{path}: {lowest - 2:.2f} m left over two metres here, {line['found_m'] - line['needed_m']:.2f} m over what is asked there")
    if lowest < 2.0 and line["verdict"] == "meets":
        tally.bad.append(f"{path}: the line comes within {lowest:.2f} m of the ground here, and meets there")


def work(job):
    seeds, folder, binary, command, tolerance, prove = job
    solver, tally = Solver(binary, prove), Tally()
    paths, made = [], []
    for seed in seeds:
        rig = rigs.make(seed)
        path = folder / f"rig-{seed}.ron"
        path.write_text(rigs.plan(rig))
        made.append(rig)
        paths.append(path)
    start = time.perf_counter()
    done = subprocess.run(shlex.split(command) + [str(p) for p in paths], capture_output=True, text=True)
    tally.theirs = time.perf_counter() - start
    try:
        found = reports(done.stdout)
    except json.JSONDecodeError:
        found = []
    if len(found) != len(made):
        tally.trouble.append(f"{paths[0]} and the next {len(paths) - 1}: {len(found)} reports: {done.stderr.strip()[:400]}")
        return tally
    for rig, path, report in zip(made, paths, found):
        before = len(tally.bad) + len(tally.trouble)
        compare(rig, path, report, solver, tally, tolerance)
        if len(tally.bad) + len(tally.trouble) == before:
            path.unlink()
    return tally


# Situations that are stored for the program's own tests.
STORED = ("standing", "walker 0.50", "walker 0.10", "bounce 0.25", "standing, storm from the right", "walker 0.75, wind from the left")


def store(path, seeds, binary):
    """Plans, and what solver.c finds for them: nothing of the program's is in it."""
    solver, out = Solver(binary), []
    for seed in seeds:
        rig = rigs.make(seed)
        ids, _ = rigs.variants(rig)
        _, rows = solver.rig(rigs.numbers(rig), [case_of(name, rig, ids) for name in STORED])
        cases = {}
        for name, (good, row) in zip(STORED, rows):
            if not good:
                continue
            rest, segments = row[6:], len(rig.tied) + 1
            n = {"main A": row[2], "main B": row[3], "backup": max(rest[len(rig.legs):len(rig.legs) + segments])}
            n.update({one["name"]: t for one, t in zip(rig.legs, rest)})
            cases[name] = {key: round(value, 1) for key, value in n.items()}
        out.append(json.dumps({"seed": seed, "plan": re.sub(r"\s+", " ", rigs.plan(rig)), "tensions_N": cases}))
    path.write_text("[\n" + ",\n".join(out) + "\n]\n")
    print(f"{len(out)} rigs, {sum(len(json.loads(o)['tensions_N']) for o in out)} situations stored in {path}")


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--rigs", type=int, default=20)
    ask.add_argument("--seed", type=int, default=1, help="of the first rig; the next ones count on")
    ask.add_argument("--jobs", type=int, default=1)
    ask.add_argument("--batch", type=int, default=10, help="plans handed to the program at once")
    ask.add_argument("--command", default=f"{ROOT}/target/release/spanwright check --json", help="prints reports for the plans named after it")
    ask.add_argument("--folder", type=pathlib.Path, default=ROOT / "target/independent", help="where plans are written; those that agree are removed")
    ask.add_argument("--tolerance", type=float, default=0.005, help="of the line's tension")
    ask.add_argument("--prove", action="store_true", help="check each answer of solver.c again by fine steps (slow)")
    ask.add_argument("--store", type=pathlib.Path, help="write plans and what solver.c finds for them here, and compare nothing")
    args = ask.parse_args()
    args.folder.mkdir(parents=True, exist_ok=True)
    binary = build(args.folder)
    seeds = range(args.seed, args.seed + args.rigs)
    if args.store:
        return store(args.store, seeds, binary)
    jobs = [(seeds[i:i + args.batch], args.folder, binary, args.command, args.tolerance, args.prove) for i in range(0, len(seeds), args.batch)]
    total = Tally()
    with multiprocessing.Pool(args.jobs) as pool:
        for tally in pool.imap_unordered(work, jobs):
            total.add(tally)
            for text in tally.bad + tally.trouble:
                print(text, flush=True)
    print(f"{total.rigs} rigs, {total.cases} situations, {total.tensions} tensions, {total.clearances} clearances (at most {total.clear:.3f} m more left there); {total.left} situations left out")
    for kind, (off, where) in sorted(total.worst.items(), key=lambda w: -w[1][0]):
        print(f"  {kind:24} {off * 100:9.5f} %  {where}")
    print(f"length {total.length:.1e} and sag {total.sag:.1e} of the span, points {total.where * 1000:.3f} mm at worst")
    print(f"own residual {total.residual:.1e} N at worst")
    print(f"{total.mine / max(total.rigs, 1) * 1000:.1f} ms a rig here, {total.theirs / max(total.rigs, 1) * 1000:.1f} ms there")
    print(f"{len(total.bad)} disagreements, {len(total.trouble)} without an answer")
    sys.exit(1 if total.bad or total.trouble or not total.rigs else 0)


if __name__ == "__main__":
    main()
