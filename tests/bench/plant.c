/*
 * The plant of src/plant, written by hand in C11: the yardstick of `npm run bench`.
 *
 * The same equations, tables, delay lines, passes and evaluations as the TypeScript, for the default engine (1.8 L four)
 * with its solenoid. It is no general model: the laws are called directly, the engine is in static storage, and the
 * settings are constants, as a C programmer would have it. SI. Sources of the equations: src/plant.
 *
 *     cc -std=c11 -O3 plant.c -lm                 the tables of the TypeScript
 *     cc -std=c11 -O3 -DUSE_LIBM plant.c -lm      pow() and cos() in their place
 *
 * Prints, as JSON, nanoseconds per step (the least of several drills) and the final state, which must be that of the
 * TypeScript.
 */
#define _POSIX_C_SOURCE 199309L
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define PI 3.14159265358979323846
#define FOUR_PI (4 * PI)
#define DEG (PI / 180)
#define RPM (PI / 30)

enum { OMEGA, ANGLE, PRESSURE, VEHICLE, STATES };
enum stage { START, MIDDLE, END };
enum engine { OFF, CRANKING, RUNNING, STALLED };

/* ---- settings: the defaults of engineTable and of the solenoid in valveTable ---- */

static const int cylinders = 4;
static const double step = 1e-3, displacement = 1.8e-3, compression = 10, inertia = 0.15;
static const double gas_constant = 287.05287, ambient_pressure = 101325, ambient_temperature = 288.15;
static const double manifold_volume = 2.6e-3, manifold_temperature = 318.15, exhaust_pressure = 101325 + 1.5e3;
static const double gamma_air = 1.4, stoichiometric = 14.7, heating_value = 42.5e6;
static const double filling = 0.6, filling_speed = 9e-4, filling_speed2 = -0.7e-6, kappa = 1.35;
static const double efficiency = 0.33, efficiency_speed = 0, efficiency_speed2 = 0;
static const double spark_loss = 2.8e-4 / (DEG * DEG), mbt = 36 * DEG, mbt_speed = 0.002 * DEG / RPM, mbt_charge = -20 * DEG;
static const double misfire_charge = 0.06, burning_charge = 0.12;
static const double fmep = 0.6e5, fmep_speed = 0.0012e5, fmep_speed2 = 3e-6 * 1e5;
static const double stall_speed = 300 * RPM, catch_speed = 450 * RPM, starter_stall = 90, starter_speed = 350 * RPM;
static const double bore = 0.05, closed_angle = 7 * DEG, open_angle = 88 * DEG, discharge = 0.75, plate_time = 0.15;
static const double leak_flow = 0.6e-3, valve_flow = 9e-3, bench_pressure = 101325, bench_depression = 60e3, bench_temperature = 293.15;
static const double lag = 0.045, hysteresis = 0, supply_sensitivity = 0.6, supply_nominal = 14;
static const double viscosity40 = 61.7, viscosity100 = 10.6, oil_exponent = 0.2;
static const double clutch_stiffness = 50, clutch_capacity = 250, car_mass = 1250, rolling = 170, drag = 0.45;
static const double roughness_spread = 0;
static const double creep = 2;

/* ---- curves: linear between points, held beyond; `slope` is that of the line that begins at the point ---- */

struct point { double x, y, slope; };
struct curve { int points; struct point p[4]; };

static struct curve lambda_curve = { 4, { { 243.15, 0.75, 0 }, { 273.15, 0.85, 0 }, { 313.15, 0.95, 0 }, { 343.15, 1, 0 } } };
static struct curve wax_curve = { 1, { { 273.15, 0, 0 } } };
static struct curve valve_flow_curve = { 2, { { 0, 0, 0 }, { 1, 1, 0 } } };
static struct curve opening_curve = { 4, { { 0, 0, 0 }, { 0.08, 0, 0 }, { 0.92, 1, 0 }, { 1, 1, 0 } } };

static void fill_slopes(struct curve *c)
{
    for (struct point *p = c->p; p < c->p + c->points - 1; p++) p->slope = (p[1].y - p->y) / (p[1].x - p->x);
}

static inline double interpolate(const struct curve *c, double x)
{
    const struct point *p = c->p, *last = p + c->points - 1;
    if (x <= p->x) return p->y;
    if (x >= last->x) return last->y;
    while (x >= p[1].x) p++;
    return p->y + p->slope * (x - p->x);
}

/* ---- tables: cubic Hermite on a uniform grid, straight beyond ---- */

enum { FLOW_CELLS = 256, RESIDUAL_CELLS = 1024, PLATE_CELLS = 256, MOST_CELLS = 1024 };

struct table { double lo, hi, per_dx, y_lo, y_hi, slope_lo, slope_hi; int cells; double c[MOST_CELLS][4]; };

static void fill_table(struct table *t, double (*f)(double), double (*slope)(double), double lo, double hi, int cells)
{
    double dx = (hi - lo) / cells, y0 = f(lo), s0 = slope(lo);
    *t = (struct table){ .lo = lo, .hi = hi, .per_dx = cells / (hi - lo), .y_lo = y0, .slope_lo = s0, .cells = cells };
    for (int i = 0; i < cells; i++) {
        double x1 = i + 1 == cells ? hi : lo + (i + 1) * dx, y1 = f(x1), s1 = slope(x1), rise = y1 - y0;
        t->c[i][0] = y0;
        t->c[i][1] = s0 * dx;
        t->c[i][2] = 3 * rise - (2 * s0 + s1) * dx;
        t->c[i][3] = (s0 + s1) * dx - 2 * rise;
        y0 = y1;
        s0 = s1;
    }
    t->y_hi = y0;
    t->slope_hi = s0;
}

static inline double read_table(const struct table *t, double x)
{
    double place = (x - t->lo) * t->per_dx;
    if (place >= 0 && place < t->cells) {
        int cell = (int)place;
        double u = place - cell;
        const double *c = t->c[cell];
        return ((c[3] * u + c[2]) * u + c[1]) * u + c[0];
    }
    return place < 0 ? t->y_lo + t->slope_lo * (x - t->lo) : t->y_hi + t->slope_hi * (x - t->hi);
}

static struct table flow_table, residual_table, plate_table;
static double critical, choked;

static double flow_exact(double r) { return 2 * gamma_air / (gamma_air - 1) * (pow(r, 2 / gamma_air) - pow(r, (gamma_air + 1) / gamma_air)); }
static double flow_slope(double r)
{
    double low = 2 / gamma_air, high = (gamma_air + 1) / gamma_air;
    return 2 * gamma_air / (gamma_air - 1) * (low * pow(r, low - 1) - high * pow(r, high - 1));
}
static double residual_exact(double r) { return pow(r, 1 - 1 / kappa); }
static double residual_slope(double r) { return (1 - 1 / kappa) * pow(r, -1 / kappa); }
static double plate_exact(double travel)
{
    return discharge * (PI / 4) * bore * bore * (1 - cos(closed_angle + (open_angle - closed_angle) * travel) / cos(closed_angle));
}
static double plate_slope(double travel)
{
    double range = open_angle - closed_angle;
    return discharge * (PI / 4) * bore * bore * range * sin(closed_angle + range * travel) / cos(closed_angle);
}

#ifdef USE_LIBM
static inline double flow_square(double r) { return r > critical ? flow_exact(r) : choked; }
static inline double residual_power(double r) { return residual_exact(r); }
static inline double plate_area(double travel) { return plate_exact(travel); }
#else
static inline double flow_square(double r) { return r > critical ? read_table(&flow_table, r) : choked; }
static inline double residual_power(double r) { return read_table(&residual_table, r); }
static inline double plate_area(double travel) { return read_table(&plate_table, travel); }
#endif

/* ---- delay lines in crank angle ---- */

enum { READINGS = 4096, MASK = READINGS - 1 };

struct delay_line { double angle; int oldest, newest, cursor; double angles[READINGS], values[READINGS]; };

static void fill_line(struct delay_line *l, double angle, double value)
{
    l->oldest = l->newest = l->cursor = 0;
    l->angles[0] = angle;
    l->values[0] = value;
}

static inline void take(struct delay_line *l, double angle, double value)
{
    double last = l->angles[l->newest];
    if (!(angle >= last)) {
        fprintf(stderr, "delay line: the crank angle went back from %g to %g rad\n", last, angle);
        exit(1);
    }
    if (angle == last && l->newest != l->oldest && l->angles[(l->newest - 1) & MASK] == last) {
        l->values[l->newest] = value;
        return;
    }
    l->newest = (l->newest + 1) & MASK;
    if (l->newest == l->oldest) {
        l->oldest = (l->oldest + 1) & MASK;
        if (l->cursor == l->newest) l->cursor = l->oldest;
    }
    l->angles[l->newest] = angle;
    l->values[l->newest] = value;
}

static inline double give(struct delay_line *l, double angle)
{
    double target = angle - l->angle;
    int at = l->cursor;
    while (at != l->newest && l->angles[(at + 1) & MASK] <= target) at = (at + 1) & MASK;
    while (at != l->oldest && l->angles[at] > target) at = (at - 1) & MASK;
    l->cursor = at;
    double before = l->angles[at], value = l->values[at];
    if (at == l->newest || target <= before) return value;
    int next = (at + 1) & MASK;
    return value + (l->values[next] - value) * ((target - before) / (l->angles[next] - before));
}

/* ---- the engine ---- */

static struct {
    /* from the settings */
    double firing_interval, per_volume, per_inertia, per_exhaust, swept, residual, pumping;
    double misfire, burning, per_width, mbt_charge, per_air, friction, friction_speed, friction_speed2;
    double valve_area, leak, shut, inward, outward, smooth, per_root_smooth, plate_rate, keep_half;
    /* inputs */
    double air, spark, pedal, load, load_power, clutch, supply, coolant, oil;
    int gear, starter;
    /* of the present step; burning is 0 unless the engine turns and fires */
    enum engine engine;
    double area[3], plate[3], track[3], drawn, burnt[3], fired[3];
    double play, seen_coolant, still_coolant, seen_oil, still_area, lambda, mixture, thickness, gearing, capacity, fires;
    double state[STATES];
    struct delay_line charge_line, spark_line;
    double next_firing, roughness;
    uint32_t random[4];
} e;

static inline double approach(double from, double to, double rate)
{
    if (to > from) return to - from > rate ? from + rate : to;
    return from - to > rate ? from - rate : to;
}

static inline double flow_function(double square)
{
    return square >= e.smooth ? sqrt(square) : 0.5 * square * (3 - square / e.smooth) * e.per_root_smooth;
}

static inline double flow(double area, double pressure)
{
    return pressure <= ambient_pressure ? area * e.inward * flow_function(flow_square(pressure * (1 / ambient_pressure)))
                                        : area * e.outward * pressure * flow_function(flow_square(ambient_pressure / pressure));
}

static inline double charge(double omega, double pressure)
{
    double mass = (filling + omega * (filling_speed + omega * filling_speed2)) *
                  (e.swept * pressure - e.residual * residual_power(pressure * e.per_exhaust));
    return mass > 0 ? mass : 0;
}

static inline double torque(double charge, double spark, double omega)
{
    if (charge <= e.misfire) return 0;
    double offset = mbt + mbt_speed * omega + e.mbt_charge * charge - spark;
    double torque = charge * e.per_air * (efficiency + omega * (efficiency_speed + omega * efficiency_speed2)) * (1 - spark_loss * offset * offset);
    if (!(torque > 0)) return 0;
    if (charge >= e.burning) return torque;
    double s = (charge - e.misfire) * e.per_width;
    return torque * s * s * (3 - 2 * s);
}

static inline double clutch_torque(double slip, double capacity)
{
    if (capacity <= 0) return 0;
    double s = clutch_stiffness * slip / capacity;
    return capacity * s / sqrt(1 + s * s);
}

static inline double road_load(double speed)
{
    return speed > 0 ? rolling * (speed < 0.5 ? speed / 0.5 : 1) + drag * speed * speed : 0;
}

static inline void derivative(const double *x, enum stage stage, double *dx)
{
    double omega = x[OMEGA], pressure = x[PRESSURE], drawn = charge(omega, pressure);
    if (stage == START) e.drawn = drawn;
    double indicated = e.fires == 0 ? 0 : e.fires * torque(e.burnt[stage], e.fired[stage], omega);
    double resisting = (exhaust_pressure - pressure) * e.pumping +
                       e.thickness * (e.friction + omega * (e.friction_speed + omega * e.friction_speed2)) +
                       e.load + e.load_power / (omega > creep ? omega : creep);
    double drive = indicated - (omega >= creep ? resisting : omega > 0 ? resisting * omega / creep : 0);
    if (e.engine == CRANKING && omega < starter_speed) drive += starter_stall * (1 - omega / starter_speed);
    dx[ANGLE] = omega;
    dx[PRESSURE] = e.per_volume * (flow(e.area[stage], pressure) - drawn * omega * (1 / FOUR_PI));
    if (e.capacity > 0 || x[VEHICLE] > 0) {
        double clutch = clutch_torque(omega - x[VEHICLE] * e.gearing, e.capacity);
        drive -= clutch;
        dx[VEHICLE] = (clutch * e.gearing - road_load(x[VEHICLE])) / car_mass;
    } else {
        dx[VEHICLE] = 0;
    }
    dx[OMEGA] = drive * e.per_inertia;
}

static inline void runge_kutta(double *x, double h)
{
    double k[STATES], sum[STATES], probe[STATES];
    derivative(x, START, k);
    for (int i = 0; i < STATES; i++) sum[i] = k[i], probe[i] = x[i] + 0.5 * h * k[i];
    derivative(probe, MIDDLE, k);
    for (int i = 0; i < STATES; i++) sum[i] += 2 * k[i], probe[i] = x[i] + 0.5 * h * k[i];
    derivative(probe, MIDDLE, k);
    for (int i = 0; i < STATES; i++) sum[i] += 2 * k[i], probe[i] = x[i] + h * k[i];
    derivative(probe, END, k);
    for (int i = 0; i < STATES; i++) x[i] += h / 6 * (sum[i] + k[i]);
}

static inline void areas(void)
{
    for (int i = 0; i < 3; i++) {
        double plate = e.plate[i] == 0 ? e.shut : plate_area(e.plate[i]);
        e.area[i] = plate + e.still_area + e.valve_area * interpolate(&valve_flow_curve, e.track[i]);
    }
}

static inline double wanted_opening(void)
{
    return interpolate(&opening_curve, e.air * (1 + supply_sensitivity * (e.supply / supply_nominal - 1)));
}

static inline void move_air_path(void)
{
    e.plate[0] = e.plate[2];
    e.plate[1] = approach(e.plate[0], e.pedal, e.plate_rate);
    e.plate[2] = approach(e.plate[1], e.pedal, e.plate_rate);
    double wanted = wanted_opening(), half = hysteresis / 200;
    if (wanted > e.play + half) e.play = wanted - half;
    else if (wanted < e.play - half) e.play = wanted + half;
    e.track[0] = e.track[2];
    e.track[1] = e.play + (e.track[0] - e.play) * e.keep_half;
    e.track[2] = e.play + (e.track[1] - e.play) * e.keep_half;
    if (e.coolant != e.still_coolant) {
        e.still_coolant = e.coolant;
        e.still_area = e.leak + interpolate(&wax_curve, e.coolant);
    }
    areas();
}

static double viscosity(double temperature)
{
    double at40 = log10(log10(viscosity40 + 0.7)), at100 = log10(log10(viscosity100 + 0.7));
    double slope = (at40 - at100) / (log10(373.15) - log10(313.15));
    return pow(10, pow(10, at40 + slope * (log10(313.15) - log10(temperature)))) - 0.7;
}

static inline void read_surroundings(void)
{
    if (e.coolant != e.seen_coolant) {
        e.seen_coolant = e.coolant;
        double l = e.lambda = interpolate(&lambda_curve, e.coolant);
        l = l < 0.8 ? 0.8 : l > 1.2 ? 1.2 : l;
        e.mixture = (-1.6082 + l * (4.6509 - 2.0746 * l)) / 0.9681 / e.lambda;
    }
    if (e.oil != e.seen_oil) {
        e.seen_oil = e.oil;
        e.thickness = pow(viscosity(e.oil) / viscosity(363.15), oil_exponent);
    }
    e.gearing = 0; /* no gears */
    e.capacity = e.gearing > 0 ? clutch_capacity * (1 - e.clutch) : 0;
    e.fires = e.engine == RUNNING || e.engine == CRANKING ? e.roughness * e.mixture : 0;
}

static inline void read_line(struct delay_line *l, double angle, double ahead, double *at)
{
    at[START] = give(l, angle);
    at[END] = give(l, ahead);
    at[MIDDLE] = 0.5 * (at[START] + at[END]);
}

static uint32_t random_word(void)
{
    uint32_t *s = e.random, word = s[0] + s[1] + s[3];
    s[0] = s[1] ^ (s[1] >> 9);
    s[1] = s[2] + (s[2] << 3);
    s[2] = ((s[2] << 21) | (s[2] >> 11)) + word;
    s[3]++;
    return word;
}

static inline void fire(void)
{
    while (e.state[ANGLE] >= e.next_firing) {
        e.next_firing += e.firing_interval;
        double sum = 0;
        for (int i = 0; i < 12; i++) sum += random_word();
        double factor = 1 + roughness_spread * ((sum + 6) / 4294967296.0 - 6);
        e.roughness = factor > 0 ? factor : 0;
    }
}

static inline enum engine next_engine(void)
{
    switch (e.engine) {
    case OFF: return e.starter ? CRANKING : OFF;
    case CRANKING: return e.state[OMEGA] >= catch_speed ? RUNNING : e.starter ? CRANKING : OFF;
    case RUNNING: return e.state[OMEGA] <= stall_speed ? STALLED : RUNNING;
    default: return STALLED;
    }
}

static void advance(void)
{
    move_air_path();
    read_surroundings();
    double angle = e.state[ANGLE], ahead = angle + step * e.state[OMEGA];
    read_line(&e.charge_line, angle, ahead, e.burnt);
    read_line(&e.spark_line, angle, ahead, e.fired);
    runge_kutta(e.state, step);
    take(&e.charge_line, angle, e.drawn);
    take(&e.spark_line, 0.5 * (angle + e.state[ANGLE]), e.spark);
    e.engine = next_engine();
    fire();
}

static double effective_area(double flow_read)
{
    double unit = bench_pressure / sqrt(gas_constant * bench_temperature) * sqrt(flow_square((bench_pressure - bench_depression) / bench_pressure));
    return flow_read / unit;
}

static void build(void)
{
    fill_slopes(&lambda_curve);
    fill_slopes(&wax_curve);
    fill_slopes(&valve_flow_curve);
    fill_slopes(&opening_curve);
    critical = pow(2 / (gamma_air + 1), gamma_air / (gamma_air - 1));
    choked = flow_exact(critical);
    fill_table(&flow_table, flow_exact, flow_slope, critical, 1, FLOW_CELLS);
    fill_table(&residual_table, residual_exact, residual_slope, 0.02, 1.5, RESIDUAL_CELLS);
    fill_table(&plate_table, plate_exact, plate_slope, 0, 1, PLATE_CELLS);

    e.firing_interval = FOUR_PI / cylinders;
    e.per_volume = gas_constant * manifold_temperature / manifold_volume;
    e.per_inertia = 1 / inertia;
    e.per_exhaust = 1 / exhaust_pressure;
    double scale = displacement / (gas_constant * manifold_temperature) / (1 + 1 / stoichiometric);
    e.swept = scale * compression / (compression - 1);
    e.residual = scale * exhaust_pressure / (compression - 1);
    e.pumping = displacement / FOUR_PI;
    double full = ambient_pressure * displacement / (gas_constant * ambient_temperature);
    e.per_air = heating_value / (FOUR_PI * stoichiometric);
    e.mbt_charge = mbt_charge / full;
    e.misfire = misfire_charge * full;
    e.burning = burning_charge * full;
    e.per_width = 1 / (e.burning - e.misfire);
    e.friction = fmep * displacement / FOUR_PI;
    e.friction_speed = fmep_speed * displacement / FOUR_PI;
    e.friction_speed2 = fmep_speed2 * displacement / FOUR_PI;

    e.valve_area = effective_area(valve_flow);
    e.leak = effective_area(leak_flow);
    e.shut = plate_area(0);
    double largest = plate_area(1) + e.leak + e.valve_area;
    double root = 1.5 * step * (gas_constant * manifold_temperature / manifold_volume / sqrt(gas_constant * ambient_temperature)) * largest;
    e.smooth = root * root > 0.01 ? root * root : 0.01;
    e.per_root_smooth = 1 / sqrt(e.smooth);
    e.inward = ambient_pressure / sqrt(gas_constant * ambient_temperature);
    e.outward = -1 / sqrt(gas_constant * manifold_temperature);
    e.plate_rate = step / (2 * plate_time);
    e.keep_half = exp(-step / (2 * lag));
    e.charge_line.angle = 360 * DEG;
    e.spark_line.angle = e.firing_interval;
    e.supply = 14;
    e.coolant = e.oil = 363.15;
    e.seen_coolant = e.still_coolant = e.seen_oil = NAN;
    e.roughness = 1;
}

/* ---- the drill: that of drill.mjs ---- */

enum { STEPS = 15000, WAVE = 4000 };

static void drill(void)
{
    e.air = 0.35;
    e.spark = 20 * DEG;
    e.load = 0;
    e.engine = RUNNING;
    read_surroundings();
    for (int i = 0; i < 3; i++) e.plate[i] = e.pedal;
    e.play = e.track[0] = e.track[1] = e.track[2] = wanted_opening();
    e.still_area = e.leak + interpolate(&wax_curve, e.coolant);
    areas();
    e.state[OMEGA] = 800 * RPM;
    e.state[ANGLE] = 0;
    e.state[PRESSURE] = 30e3;
    e.state[VEHICLE] = 0;
    e.next_firing = 0;
    fill_line(&e.charge_line, 0, charge(e.state[OMEGA], e.state[PRESSURE]));
    fill_line(&e.spark_line, 0, e.spark);
    fire();
    for (int k = 0; k < STEPS; k++) {
        int phase = k % WAVE;
        double wave = (double)(phase < WAVE / 2 ? phase : WAVE - phase) / (WAVE / 2);
        e.air = 0.35 + 0.06 * wave;
        e.spark = (20 + 2 * wave) * DEG;
        e.load = k >= STEPS / 3 && k < 2 * STEPS / 3 ? 8 : 0;
        advance();
    }
}

int main(int count, char **arguments)
{
    int repeats = count > 1 ? atoi(arguments[1]) : 200;
    double least = INFINITY;
    build();
    for (int i = 0; i < repeats; i++) {
        struct timespec from, to;
        clock_gettime(CLOCK_MONOTONIC, &from);
        drill();
        clock_gettime(CLOCK_MONOTONIC, &to);
        double ns = ((double)(to.tv_sec - from.tv_sec) * 1e9 + (double)(to.tv_nsec - from.tv_nsec)) / STEPS;
        if (ns < least) least = ns;
    }
    printf("{\"nsPerStep\":%.3f,\"running\":%s,\"state\":[%.17g,%.17g,%.17g,%.17g]}\n", least, e.engine == RUNNING ? "true" : "false",
           e.state[OMEGA], e.state[ANGLE], e.state[PRESSURE], e.state[VEHICLE]);
    return 0;
}
