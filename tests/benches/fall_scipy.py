"""The fall of the comparison, once more by a general-purpose integrator: `python3 tests/benches/fall_scipy.py` beside
`cargo bench`. The same lumped line (80 elements, 0.9 s of motion after the leash is taut) by SciPy's DOP853 and LSODA, on one
thread. Needs numpy and scipy. Prints the peak of the leash and the time of each."""
import json, pathlib, time
import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import root

G = 9.80665
data = json.loads((pathlib.Path(__file__).parent.parent / "data" / "computed.json").read_text())
case = next(c for c in data["cases"] if c["id"] == "p9-fall-mid-damped")
i = case["inputs"]
n = 80
l0, ea, mu, tau = i["L0_m"] / n, i["EA_N"], i["mu_kg_per_m"], i["line_tau_s"]
ring, mass, leash, k_leash, c_leash = n // 2, i["mass_kg"], i["leash_m"], i["EA_leash_N"] / i["leash_m"], i["leash_c_Ns_per_m"]
ends = np.array([[0.0, 0.0], [i["span_m"], i["rise_m"]]])
m = mu * l0


def nodes(inner):
    return np.vstack([ends[0], inner.reshape(-1, 2), ends[1]])


def pulls(x, v):
    d = np.diff(x, axis=0)
    length = np.hypot(*d.T)
    q = d / length[:, None]
    strain = length / l0 - 1
    t = ea * (strain + tau / l0 * (np.diff(v, axis=0) * q).sum(1))
    return np.where(strain > 0, np.maximum(t, 0), 0), q


def rest(inner):
    x = nodes(inner)
    t, q = pulls(x, np.zeros_like(x))
    f = t[:, None] * q
    force = f[1:] - f[:-1]
    force[:, 1] -= m * G
    return force.ravel()


start = np.linspace(ends[0], ends[1], n + 1)[1:-1]
start[:, 1] -= 0.2 * np.sin(np.linspace(0, np.pi, n + 1)[1:-1])
still = root(rest, start.ravel(), tol=1e-10).x
fallen = np.sqrt(2 * (i["fall_height_above_line_m"] + leash) / G)
walker = nodes(still)[ring] - [0, leash]
size = 2 * (n - 1)
peak = [0.0]


def tension(x, v, w, vw):
    d = w - x[ring]
    reach = np.hypot(*d)
    if reach <= leash:
        return 0.0, d
    q = d / reach
    return max(0.0, k_leash * (reach - leash) + c_leash * ((vw - v[ring]) @ q)), q


def rate(_, y):
    x, v = nodes(y[:size]), np.vstack([[0, 0], y[size + 2:2 * size + 2].reshape(-1, 2), [0, 0]])
    t, q = pulls(x, v)
    f = t[:, None] * q
    force = f[1:] - f[:-1]
    pull, way = tension(x, v, y[size:size + 2], y[-2:])
    force[ring - 1] += pull * way
    a = force / m
    a[:, 1] -= G
    aw = -pull * way / mass
    aw[1] -= G
    return np.concatenate([y[size + 2:], a.ravel(), aw])


y0 = np.concatenate([still, walker, np.zeros(size), [0, -G * fallen]])
end = i["t_end_s"] - fallen
for method, tolerance in [("DOP853", 1e-6), ("LSODA", 1e-6)]:
    began = time.perf_counter()
    s = solve_ivp(rate, (0, end), y0, method=method, rtol=tolerance, atol=1e-8, max_step=2e-3, dense_output=False)
    took = time.perf_counter() - began
    most = 0.0
    for y in s.y.T:
        x, v = nodes(y[:size]), np.vstack([[0, 0], y[size + 2:2 * size + 2].reshape(-1, 2), [0, 0]])
        most = max(most, tension(x, v, y[size:size + 2], y[-2:])[0])
    print(f"{method}: leash {most:.1f} N, {took:.2f} s, {s.nfev} evaluations")
print(f"finest of the comparison set (320 elements): {case['outputs']['peak_leash_N']:.1f} N")
