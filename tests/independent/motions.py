"""Incidents of the example plans by a general-purpose integrator, beside what the program finds.

    python3 tests/independent/motions.py                              # the chosen incidents, side by side
    python3 tests/independent/motions.py --prove                      # each again at a tenth of the tolerance
    python3 tests/independent/motions.py --store                      # and writes tests/data/incidents.json
    python3 tests/independent/motions.py --plan kestrel-gap-62m.ron   # every incident of one plan; --id for one of it

Needs cargo, numpy and scipy; and numba, or it takes hours. The program (`motions.rs`) says only what is to be
followed: points with mass, speed, dead load and air drag; members with the points that they run over, what they are
made of and their damping time; how long it is watched. What follows from that is worked out here:

    M x'' = dead loads + pulls of the members - air |v| v
    pull  = elastic(length) + min(c d(length)/dt, most k (length - slack)), never less than nothing, none while slack
    c     = k times the damping time, k the stiffness just beyond slack

with the length of a member the sum of its legs' lengths, each times the leg's share of the tension. Mass that lies
along a member moves with the speed between its ends (M is then no diagonal). Steps by SciPy's own control of error:
LSODA with a banded matrix where masses are points, DOP853 where they lie along members (their inverse is full). The
largest of everything is looked for at every step and at three instants within it.
"""
import argparse
import json
import os
import pathlib
import subprocess
import sys
import time

# Matrices this small are slower on several threads.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np  # noqa: E402
from scipy.integrate import DOP853, LSODA  # noqa: E402
from scipy.sparse import csr_matrix  # noqa: E402
from scipy.sparse.csgraph import reverse_cuthill_mckee  # noqa: E402

try:
    from numba import njit
except ImportError:
    def njit(f):
        return f

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
STORED = ROOT / "tests" / "data" / "incidents.json"

# Leash falls at mid-span and near an end, on a whole rig and on one that misses an anchor; the main line's failure and the
# catch by the backup (in two arcs from the ring, and as one line that slides through it); the failure of legs, of a bolt
# under a sliding sling and of the backup. With each, how many times as short a step of the program it is held against:
# 1, the step that the review takes; more where a short stiff leg snaps taut, which that step does not follow (the README
# has the figures).
CHOSEN = {
    "kestrel-gap-62m.ron": {
        "leash fall 0.50": 1,
        "leash fall 0.06": 1,
        "main or one of 2 more gone, walker 0.50": 1,
        "main or one of 2 more gone, walker falls 0.88, ring slides": 1,
        "B leg 2 or B oak 2 gone, walker 0.50": 1,
    },
    "lantern-quarry-28m.ron": {
        "leash fall 0.13": 1,
        "main or one of 3 more gone, walker falls 0.12": 1,
        "backup or one of 2 more gone, 2 at 0.50": 1,
        "A bolt mid missing, leash fall 0.50": 1,
        "A bolt mid gone, walker 0.50": 64,
        "B leg mid gone, walker 0.60": 16,
    },
    "crow-steps-44m.ron": {
        "leash fall 0.75": 1,
        "main or B master gone, 2 at 0.50": 1,
        "B leg 1 or B pine gone, 2 at 0.50": 1,
        "main or B master gone, walker falls 0.50": 64,
        "A leg 1 or A bolt 1 gone, walker 0.50": 64,
        "A leg 2 or A bolt 2 gone, walker 0.50": 16,
        "B leg 1 or B pine gone, walker 0.50": 16,
    },
    "heron-valley-410m.ron": {
        "leash fall 0.50": 1,
    },
}


def stretched(pieces):
    """Length of pieces in series against the one tension in them: knots of both, and the rise beyond each knot."""
    tensions = sorted({0.0} | {n for p in pieces for n, _ in p["strain_at_n"][:-1]})

    def strain(p, n):
        points = [(0.0, 0.0)] + [tuple(q) for q in p["strain_at_n"]]
        for (n0, e0), (n1, e1) in zip(points, points[1:]):
            # The last straight line goes on for ever.
            if n < n1 or (n1, e1) == points[-1]:
                return e0 + (e1 - e0) * (n - n0) / (n1 - n0)

    def length(n):
        return sum(p["length_m"] + p["gauge_m"] * strain(p, n) for p in pieces)

    lengths = [length(n) for n in tensions]
    beyond = tensions[-1] + 1e4
    rises = [(n1 - n0) / (length(n1) - length(n0)) for n0, n1 in zip(tensions, tensions[1:] + [beyond])]
    return lengths, tensions, rises


class Problem:
    """One incident as arrays."""

    def __init__(self, stated):
        points, members = stated["points"], stated["members"]
        self.stated = stated
        self.x0 = np.array([p["place_m"] for p in points])
        self.v0 = np.array([p["velocity_m_s"] for p in points])
        self.load = np.array([p["load_n"] for p in points])
        self.air = np.array([p["air_n_s2_per_m2"] for p in points])
        self.free = np.array([not p["fixed"] for p in points])
        self.v0[~self.free] = 0.0
        legs, shares, laws, damping, first = [], [], [], [], []
        for m, member in enumerate(members):
            path = member.get("path", [])
            legs += [(a, b, m) for a, b in zip(path, path[1:])]
            shares += member.get("shares", [])
            laws.append(stretched(member["pieces"]) if path else ([0.0], [0.0], [0.0]))
            first.append(laws[-1][2][0])
            damping.append(first[-1] * member.get("lag_s", 0.0))
        self.legs, self.shares = np.array(legs), np.array(shares)
        self.damping, self.first = np.array(damping), np.array(first)
        most = max(len(law[0]) for law in laws)
        self.knots = np.full((len(laws), most, 3), np.inf)
        for m, law in enumerate(laws):
            self.knots[m, :len(law[0])] = np.array(law).T
        grounds = [m for m in members if "point" in m]
        self.held = np.array([g["point"] for g in grounds], dtype=np.int64)
        self.homes = np.array([g["home_m"] for g in grounds]).reshape(-1, 3)
        self.give = np.array([g["stiffness_n_per_m"] for g in grounds])
        self.at_once = stated["damping_at_most_of_first_stiffness"]
        self.inverse = self.inverse_mass(points, members)
        self.lumped = not any(m.get("along_kg", 0.0) > 0.0 for m in members)
        self.inverse_each = np.diag(self.inverse).copy()
        self.order, self.band = self.ordered()
        self.gravity = np.array([0.0, 0.0, -stated["gravity_m_s2"]])

    def inverse_mass(self, points, members):
        """Accelerations from forces. Mass along a straight member: a third of it at each end, a sixth between them."""
        mass = np.diag([p["mass_kg"] for p in points])
        for member in members:
            along = member.get("along_kg", 0.0)
            if along > 0.0:
                a, b = member["path"]
                for i, j, share in [(a, a, 1 / 3 - 1 / 2), (b, b, 1 / 3 - 1 / 2), (a, b, 1 / 6), (b, a, 1 / 6)]:
                    mass[i, j] += share * along
        out = np.zeros_like(mass)
        free = np.ix_(self.free, self.free)
        out[free] = np.linalg.inv(mass[free])
        return out

    def ordered(self):
        """The free points so that those that pull on each other stand near each other; how far apart at most."""
        free = np.flatnonzero(self.free)
        beside = np.zeros((len(self.free), len(self.free)))
        for m in range(len(self.first)):
            legs = self.legs[self.legs[:, 2] == m]
            points = np.unique(legs[:, :2])
            beside[np.ix_(points, points)] = 1.0
        among = csr_matrix(beside[np.ix_(free, free)])
        order = reverse_cuthill_mckee(among, symmetric_mode=True)
        rows, columns = beside[np.ix_(free[order], free[order])].nonzero()
        return free[order], int(np.abs(rows - columns).max())

    def state(self, x, v):
        """Place and speed of each free point, point after point."""
        return np.concatenate([x[self.order], v[self.order]], axis=1).ravel()

    def unpacked(self, y):
        x, v = self.x0.copy(), np.zeros_like(self.x0)
        each = y.reshape(-1, 6)
        x[self.order], v[self.order] = each[:, :3], each[:, 3:]
        return x, v

    def pulls(self, x, v):
        return pulls(x, v, self.legs, self.shares, self.knots, self.damping, self.first, self.at_once)

    def laws(self):
        return (self.load, self.air, self.legs, self.shares, self.knots, self.damping, self.first, self.at_once,
                self.held, self.homes, self.give, self.inverse, self.inverse_each, self.lumped)

    def accelerations(self, x, v):
        return accelerations(x, v, *self.laws())

    def rate(self):
        x0, order, laws = self.x0, self.order, self.laws()
        return lambda _, y: rate(y, x0, order, *laws)


@njit
def pulls(x, v, legs, shares, knots, damping, first, at_once):
    """Tension of each member."""
    members = knots.shape[0]
    length, growth, tension = np.zeros(members), np.zeros(members), np.zeros(members)
    for e in range(legs.shape[0]):
        a, b, m = legs[e, 0], legs[e, 1], legs[e, 2]
        d0, d1, d2 = x[b, 0] - x[a, 0], x[b, 1] - x[a, 1], x[b, 2] - x[a, 2]
        way = np.sqrt(d0 * d0 + d1 * d1 + d2 * d2)
        length[m] += shares[e] * way
        if way > 0.0:
            apart = d0 * (v[b, 0] - v[a, 0]) + d1 * (v[b, 1] - v[a, 1]) + d2 * (v[b, 2] - v[a, 2])
            growth[m] += shares[e] * apart / way
    for m in range(members):
        over = length[m] - knots[m, 0, 0]
        if over <= 0.0:
            continue
        k = 0
        while k + 1 < knots.shape[1] and length[m] >= knots[m, k + 1, 0]:
            k += 1
        elastic = knots[m, k, 1] + knots[m, k, 2] * (length[m] - knots[m, k, 0])
        tension[m] = max(0.0, elastic + min(damping[m] * growth[m], at_once * first[m] * over))
    return tension


@njit
def accelerations(x, v, load, air, legs, shares, knots, damping, first, at_once, held, homes, give, inverse, each, lumped):
    tension = pulls(x, v, legs, shares, knots, damping, first, at_once)
    force = load.copy()
    for i in range(x.shape[0]):
        if air[i] > 0.0:
            speed = np.sqrt(v[i, 0] ** 2 + v[i, 1] ** 2 + v[i, 2] ** 2)
            for c in range(3):
                force[i, c] -= air[i] * speed * v[i, c]
    for e in range(legs.shape[0]):
        a, b, m = legs[e, 0], legs[e, 1], legs[e, 2]
        if tension[m] <= 0.0:
            continue
        d0, d1, d2 = x[b, 0] - x[a, 0], x[b, 1] - x[a, 1], x[b, 2] - x[a, 2]
        way = np.sqrt(d0 * d0 + d1 * d1 + d2 * d2)
        if way > 0.0:
            pull = shares[e] * tension[m] / way
            for c, d in ((0, d0), (1, d1), (2, d2)):
                force[a, c] += pull * d
                force[b, c] -= pull * d
    for g in range(held.shape[0]):
        for c in range(3):
            force[held[g], c] += give[g] * (homes[g, c] - x[held[g], c])
    if lumped:
        for i in range(x.shape[0]):
            for c in range(3):
                force[i, c] *= each[i]
        return force
    return inverse @ force


@njit
def rate(y, x0, order, load, air, legs, shares, knots, damping, first, at_once, held, homes, give, inverse, each, lumped):
    x, v, out = x0.copy(), np.zeros_like(x0), np.empty_like(y)
    for k in range(order.shape[0]):
        for c in range(3):
            x[order[k], c], v[order[k], c] = y[6 * k + c], y[6 * k + 3 + c]
    a = accelerations(x, v, load, air, legs, shares, knots, damping, first, at_once, held, homes, give, inverse, each, lumped)
    for k in range(order.shape[0]):
        for c in range(3):
            out[6 * k + c], out[6 * k + 3 + c] = y[6 * k + 3 + c], a[order[k], c]
    return out


def follow(problem, tolerance):
    """Largest tensions, largest force on the body, largest drop; and how many steps that took."""
    stated = problem.stated
    # Micrometres and tens of micrometres a second, at a relative tolerance of 1e-6.
    scale = np.tile([1.0, 1.0, 1.0, 10.0, 10.0, 10.0], len(problem.order))
    how = {"rtol": tolerance, "atol": tolerance * scale}
    start = problem.state(problem.x0, problem.v0)
    if problem.lumped:
        band = 6 * (problem.band + 1) - 1
        solver = LSODA(problem.rate(), 0.0, start, stated["watched_s"], lband=band, uband=band, **how)
    else:
        solver = DOP853(problem.rate(), 0.0, start, stated["watched_s"], **how)
    seen = {"most": np.zeros(len(problem.first)), "body": 0.0, "lowest": np.inf, "steps": 0}
    while solver.status == "running":
        message = solver.step()
        if solver.status == "failed":
            raise RuntimeError(message)
        seen["steps"] += 1
        # Peaks lie between steps as well.
        between = solver.dense_output()
        for share in (0.25, 0.5, 0.75):
            look(problem, seen, between(solver.t_old + share * (solver.t - solver.t_old)))
        look(problem, seen, solver.y)
    if stated["leash"] is not None:
        seen["body"] = seen["most"][stated["leash"]]
    return {"drop": stated["start_z_m"] - seen["lowest"], **seen}


def look(problem, seen, y):
    """Takes the largest of everything at one instant in."""
    x, v = problem.unpacked(y)
    walker = problem.stated["walker"]
    seen["end"] = problem.pulls(x, v)
    seen["most"] = np.maximum(seen["most"], seen["end"])
    seen["lowest"] = min(seen["lowest"], x[walker, 2])
    if problem.stated["leash"] is None:
        # Who stands on the line is pushed by what turns their own fall into the ring's motion.
        push = problem.accelerations(x, v)[walker] - problem.gravity
        seen["body"] = max(seen["body"], problem.stated["body_kg"] * np.linalg.norm(push))


def stated(plan, ids, finer=1, shorter=1):
    command = ["cargo", "run", "--quiet", "--locked", "--example", "motions", "--"]
    command += ["--finer", str(finer), "--shorter", str(shorter), str(ROOT / "plans" / plan), *ids]
    out = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True, cwd=ROOT).stdout
    return [json.loads(line) for line in out.splitlines()]


def rows(problem, seen):
    """Name, the program's figure, the integrator's, for what matters: over 1 kN or a fifth of the largest."""
    found, start = problem.stated["found"], problem.pulls(problem.x0, problem.v0)
    most = {g["name"]: max(seen["most"][m] for m in g["members"]) for g in problem.stated["gauges"]}
    out = []
    for g in problem.stated["gauges"]:
        ours, theirs = g["found_n"], most[g["name"]]
        # What is never pulled harder than at the start has no peak in the motion; the program looks from its first step.
        sheds = theirs <= 1.001 * max(start[m] for m in g["members"]) and ours <= 1.01 * theirs
        if not sheds and (theirs > 1000.0 or theirs > 0.2 * max(most.values())):
            out.append((g["name"], ours, theirs))
    return out + [("body", found["body_n"], seen["body"]), ("drop", found["drop_m"], seen["drop"])]


def late(problem, seen):
    """What is near its largest when the watching ends, so that the largest hangs on when that is."""
    big = [g for g in problem.stated["gauges"] if max(seen["most"][m] for m in g["members"]) > 1000.0]
    return [g["name"] for g in big if any(seen["end"][m] > 0.99 * seen["most"][m] for m in g["members"])]


class Tally:
    """Differences at worst: of the two sides, and of this side's own two tolerances."""

    def __init__(self):
        self.worst, self.own = (0.0, ""), 0.0

    def show(self, problem, seen, finer):
        again = {name: theirs for name, _, theirs in rows(problem, finer)} if finer else {}
        for name, ours, theirs in rows(problem, seen):
            off = ours / theirs - 1.0
            line = f"  {name:32} {ours:10.2f} {theirs:10.2f} {100.0 * off:+7.2f} %"
            if name in again:
                own = again[name] / theirs - 1.0
                self.own = max(self.own, abs(own))
                line += f" {100.0 * own:+8.3f} %"
            print(line)
            if abs(off) > self.worst[0] and not (name == "drop" and abs(ours - theirs) < 0.02):
                self.worst = (abs(off), f"{problem.stated['plan']}, {problem.stated['id']}, {name}")


def to_store(problem, seen, shorter):
    peaks = {name: round(theirs, 2) for name, _, theirs in rows(problem, seen)[:-2]}
    out = {"plan": problem.stated["plan"], "id": problem.stated["id"], "peaks_N": peaks}
    out |= {"body_N": round(seen["body"], 2), "drop_m": round(seen["drop"], 4)}
    return out if shorter == 1 else out | {"shorter": shorter}


def store(found):
    """Puts what was found in the place of what is stored of the same incidents, in the order of the choice."""
    before = json.loads(STORED.read_text()) if STORED.exists() else []
    all_of = {(k["plan"], k["id"]): k for k in before + found}
    kept = [all_of[plan, i] for plan, ids in CHOSEN.items() for i in ids if (plan, i) in all_of]
    STORED.write_text("[\n" + ",\n".join(json.dumps(k) for k in kept) + "\n]\n")


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--store", action="store_true", help="write what is found to tests/data/incidents.json")
    ask.add_argument("--prove", action="store_true", help="follow each again at a tenth of the tolerance")
    ask.add_argument("--plan", help="all incidents of this plan instead of the chosen ones")
    ask.add_argument("--id", action="append", default=[], help="these of the plan's incidents")
    ask.add_argument("--finer", type=int, default=1, help="mesh and step so many times as fine")
    ask.add_argument("--shorter", type=int, default=1, help="the program's step alone so many times as short")
    ask.add_argument("--tolerance", type=float, default=1e-7)
    told = ask.parse_args()
    own = {told.plan: {i: told.shorter for i in told.id}}
    problems = []
    for plan, ids in (own if told.plan else CHOSEN).items():
        for shorter in sorted(set(ids.values()) or {told.shorter}):
            wanted = [i for i, s in ids.items() if s == shorter]
            found = stated(plan, wanted, told.finer, shorter)
            if missing := set(wanted) - {one["id"] for one in found}:
                sys.exit(f"{plan}: no {', '.join(missing)}")
            problems += [(one, shorter) for one in found]
    kept, tally = [], Tally()
    for one, shorter in problems:
        began, problem = time.perf_counter(), Problem(one)
        seen = follow(problem, told.tolerance)
        took = time.perf_counter() - began
        finer = follow(problem, 0.1 * told.tolerance) if told.prove else None
        note = f", program's step / {shorter}" if shorter > 1 else ""
        print(f"{one['plan']}, {one['id']}{note}: {one['watched_s']:.2f} s, {seen['steps']} steps, {took:.0f} s of work")
        tally.show(problem, seen, finer)
        if names := late(problem, seen):
            print(f"  near its largest at the end: {', '.join(names)}")
        sys.stdout.flush()
        kept.append(to_store(problem, seen, shorter))
    proved = f"; own peaks to {100.0 * tally.own:.3f} %" if told.prove else ""
    print(f"at worst {100.0 * tally.worst[0]:.2f} %: {tally.worst[1]}{proved}")
    if told.store:
        store(kept)


if __name__ == "__main__":
    main()
