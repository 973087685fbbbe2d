"""
Makes data/outside-ode.json: the default 1.8 L four through a drill in open loop, with its delays, by an outside ODE library.

The delays are crank angles, so crank angle is taken for the independent variable: they are constant then, and the method
of steps applies. Over each stretch no longer than the shorter delay, and never across a corner, scipy's DOP853 integrates

    d(omega)/d(phi) = (T - T_pumping - T_friction - T_load)/(J omega)
    d(p)/d(phi)     = (R T_m/V_m)(m_in - m omega/4 pi)/omega           d(t)/d(phi) = 1/omega

with the charge of 2 pi rad ago read from the dense output of the stretches before. A drill event is located in time by the
solver's event finder; corners that come of it one delay later end a stretch too.

Equations: L. Guzzella and C. H. Onder, Introduction to Modeling and Control of Internal Combustion Engine Systems, 2nd ed.
2010, ch. 2; J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, app. C (restrictions); ISO 2533:1975 (ambient).
The parameters are the documented defaults of the engine and of the solenoid valve.

The same with Radau, rtol 1e-9, differs by 5e-10 at most.

    python3 tests/published/make/ode_reference.py > tests/published/data/outside-ode.json
"""
import json
import math
import platform
import sys

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

PI = math.pi
DEG = PI / 180
RTOL, ATOL = 1e-12, 1e-12

# the air outside, the engine, its fuel
P_A, T_A, R = 101325.0, 288.15, 287.05287
V_D, EPS, J = 1.8e-3, 10.0, 0.15
P_E = P_A + 1500.0
V_M, T_M = 2.6e-3, 45 + 273.15
G0, G1, G2, KAPPA = 0.6, 9e-4, -0.7e-6, 1.35
SIGMA, H_L = 14.7, 42.5e6
E0, K = 0.33, 2.8e-4 / DEG**2
MBT0, MBT1, MBT2 = 36 * DEG, 0.002 * DEG * 30 / PI, -20 * DEG
MISFIRE, BURNING = 0.06, 0.12
F0, F1, F2 = 0.6e5, 0.0012e5, 3e-6 * 1e5
CHARGE_DELAY, SPARK_DELAY = 2 * PI, PI  # 360 degrees; one firing interval of a four
# valve and leak, by their flow on a bench at 60 kPa of depression
GAMMA = 1.4
LAG = 0.045


def psi(ratio):
    r = max(ratio, (2 / (GAMMA + 1)) ** (GAMMA / (GAMMA - 1)))
    return math.sqrt(2 * GAMMA / (GAMMA - 1) * (r ** (2 / GAMMA) - r ** ((GAMMA + 1) / GAMMA)))


BENCH = 101325 / math.sqrt(R * 293.15) * psi(1 - 60 / 101.325)
LEAK, VALVE = 0.6e-3 / BENCH, 9e-3 / BENCH


def wanted(air):
    """Solenoid: travel against duty, dead ends of 8 % either side."""
    return min(1.0, max(0.0, (air - 0.08) / 0.84))


def charge(omega, p):
    filling = G0 + G1 * omega + G2 * omega**2
    residual = EPS / (EPS - 1) - (P_E / p) ** (1 / KAPPA) / (EPS - 1)
    return max(0.0, p * V_D / (R * T_M) * filling * residual / (1 + 1 / SIGMA))


FULL = P_A * V_D / (R * T_A)


def indicated(m, spark, omega):
    off = MBT0 + MBT1 * omega + MBT2 * m / FULL - spark
    s = min(1.0, max(0.0, (m / FULL - MISFIRE) / (BURNING - MISFIRE)))
    return max(0.0, m * H_L / (4 * PI * SIGMA) * E0 * (1 - K * off**2) * s * s * (3 - 2 * s))


def losses(omega, p):
    friction = (F0 + F1 * omega + F2 * omega**2) * V_D / (4 * PI)
    return (P_E - p) * V_D / (4 * PI) + friction


# the drill, open loop
START = dict(omega=84.0, air=0.27, spark=12 * DEG, load=0.0)
EVENTS = [(0.5, "load", 4.0), (1.5, "air", 0.36), (2.5, "spark", 20 * DEG), (3.5, "load", 0.0), (4.5, "air", 0.25), (6.0, "load", 5.0)]
END, ROWS = 8.0, 160

stretches = []  # dense solutions, in order: (phi0, phi1, solution)


def delayed_charge(phi):
    if phi <= 0:
        return history
    for phi0, phi1, solution in reversed(stretches):
        if phi0 <= phi:
            omega, p, _ = solution(min(phi, phi1))
            return charge(omega, p)
    raise ValueError(phi)


# starts at the pressure at which as much flows in as out, with that charge for ever before
opening = wanted(START["air"])
inflow = lambda p, opening: (LEAK + VALVE * opening) * P_A / math.sqrt(R * T_A) * psi(p / P_A)
p0 = brentq(lambda p: inflow(p, opening) - charge(START["omega"], p) * START["omega"] / (4 * PI), 5e3, 9e4, xtol=1e-9, rtol=1e-15)
history = charge(START["omega"], p0)

phi, state = 0.0, numpy.array([START["omega"], p0, 0.0])
corners = []  # crank angles at which a stretch must end
acting = dict(load=START["load"], valve=(opening, opening, 0.0), air=START["air"])
sparks = [(-math.inf, START["spark"])]  # fired from a crank angle on
todo = list(EVENTS) + [(END, "end", None)]

while todo:
    moment = todo[0][0]
    stop = min([phi + SPARK_DELAY] + [c for c in corners if c > phi + 1e-12])
    spark = [value for start, value in sparks if start <= phi + 1e-12][-1]
    opening0, target, since = acting["valve"]

    def rates(angle, y):
        omega, p, t = y
        travel = target + (opening0 - target) * math.exp(-(t - since) / LAG)
        m = charge(omega, p)
        torque = indicated(delayed_charge(angle - CHARGE_DELAY), spark, omega) - losses(omega, p) - acting["load"]
        return [torque / (J * omega), R * T_M / V_M * (inflow(p, travel) - m * omega / (4 * PI)) / omega, 1 / omega]

    due = lambda angle, y: y[2] - moment
    due.terminal = True
    solution = solve_ivp(rates, (phi, stop), state, method="DOP853", rtol=RTOL, atol=ATOL, dense_output=True, events=due)
    assert solution.success, solution.message
    stretches.append((phi, solution.t[-1], solution.sol))
    phi, state = solution.t[-1], solution.y[:, -1]
    if solution.status == 1:
        _, what, value = todo.pop(0)
        if what == "load":
            acting["load"] = value
        elif what == "air":
            acting["valve"] = (target + (opening0 - target) * math.exp(-(moment - since) / LAG), wanted(value), moment)
        elif what == "spark":
            sparks.append((phi + SPARK_DELAY, value))
            corners.append(phi + SPARK_DELAY)
        # the corner in speed and pressure comes back with the charge, three turns on
        corners.extend(phi + CHARGE_DELAY * n for n in (1, 2, 3))

rows = []
for i in range(1, ROWS + 1):
    t = END * i / ROWS
    phi0, phi1, sol = next(s for s in stretches if s[2](s[1])[2] >= t - 1e-9)
    angle = brentq(lambda a: sol(a)[2] - t, phi0, phi1, xtol=1e-13) if sol(phi1)[2] > t and sol(phi0)[2] < t else (phi1 if abs(sol(phi1)[2] - t) < 1e-9 else phi0)
    omega, p, _ = sol(angle)
    rows.append([round(t, 10), float(f"{omega:.12g}"), float(f"{p:.12g}"), float(f"{angle:.12g}")])

head = {
    "source": "Computed by tests/published/make/ode_reference.py: scipy.integrate.solve_ivp, DOP853, method of steps in crank angle. "
    "Equations: Guzzella and Onder 2010, ch. 2; Heywood 1988, app. C; ISO 2533:1975. Parameters: the documented defaults.",
    "made": {"scipy": scipy.__version__, "numpy": numpy.__version__, "python": platform.python_version(), "rtol": RTOL, "atol": ATOL},
    "start": {"omega": START["omega"], "pressure": p0, "air": START["air"], "sparkDeg": round(START["spark"] / DEG, 10), "load": START["load"]},
    "events": [{"at": t, what: round(v / DEG, 10) if what == "spark" else v} for t, what, v in EVENTS],
    "columns": ["time s", "speed rad/s", "pressure Pa", "crank angle rad"],
}
out = json.dumps(head, indent=1)[:-2] + ',\n "rows": [\n' + ",\n".join("  " + json.dumps(row) for row in rows) + "\n ]\n}\n"
sys.stdout.write(out)
