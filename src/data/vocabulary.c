/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The vocabulary of channel names. */
#include "data/vocabulary.h"

#include <string.h>

#include "base/text.h"

static const struct vocabulary_term terms[] = {
	/* What is measured. */
	{ "temperature", WORD_SUBJECT, "temp temps tmp tempr tmpr temperatures temprature" },
	{ "pressure", WORD_SUBJECT, "press pres prs prss pressures p" },
	{ "speed", WORD_SUBJECT, "spd speeds velocity vel" },
	{ "time", WORD_SUBJECT, "times" },
	{ "clock", WORD_SUBJECT, "" },
	{ "voltage", WORD_SUBJECT, "volt volts volatge v" },
	{ "torque", WORD_SUBJECT, "tq trq torq" },
	{ "power", WORD_SUBJECT, "pwr" },
	{ "flow", WORD_SUBJECT, "flw" },
	{ "mass", WORD_SUBJECT, "" },
	{ "distance", WORD_SUBJECT, "dist odometer odo" },
	{ "humidity", WORD_SUBJECT, "" },
	{ "rpm", WORD_SUBJECT, "rpms revs rev revolutions tach tacho tachometer" },
	{ "mph", WORD_SUBJECT, "" },
	{ "kph", WORD_SUBJECT, "kmh kmph" },
	{ "hp", WORD_SUBJECT, "horsepower bhp whp" },
	{ "n", WORD_SUBJECT, "" },
	{ "t", WORD_SUBJECT, "" },
	{ "g", WORD_SUBJECT, "gs" },

	/* Of what. */
	{ "boost", WORD_SUBJECT, "bst" },
	{ "charge", WORD_SUBJECT, "chg chrg" },
	{ "manifold", WORD_SUBJECT, "man manif mnfld mani mfld" },
	{ "intake", WORD_SUBJECT, "inlet intk inl" },
	{ "barometric", WORD_SUBJECT, "baro barometer atmospheric atmosphere atmos atmo atm" },
	{ "ambient", WORD_SUBJECT, "amb outside outdoor external" },
	{ "coolant", WORD_SUBJECT, "water wtr clnt" },
	{ "oil", WORD_SUBJECT, "" },
	{ "exhaust", WORD_SUBJECT, "exh exhst" },
	{ "turbine", WORD_SUBJECT, "" },
	{ "turbo", WORD_SUBJECT, "turbocharger trb tc" },
	{ "compressor", WORD_CHANGER, "compr cmpr comp" },
	{ "shaft", WORD_SUBJECT, "" },
	{ "outlet", WORD_SUBJECT, "out outl discharge exit" },
	{ "before", WORD_SUBJECT, "pre upstream" },
	{ "after", WORD_SUBJECT, "post downstream" },
	{ "pipe", WORD_SUBJECT, "" },
	{ "cooler", WORD_SUBJECT, "intercooler ic cac aftercooler chargecooler" },
	{ "back", WORD_SUBJECT, "" },
	{ "throttle", WORD_SUBJECT, "thr throt thrtl thrott tps tp" },
	{ "pedal", WORD_SUBJECT, "ped app pps" },
	{ "accelerator", WORD_SUBJECT, "" },
	{ "acceleration", WORD_SUBJECT, "accel acc accelleration" },
	{ "longitudinal", WORD_SUBJECT, "longit" },
	{ "long", WORD_SUBJECT, "lng" },
	{ "short", WORD_SUBJECT, "shrt" },
	{ "latitude", WORD_SUBJECT, "" },
	{ "longitude", WORD_SUBJECT, "lon" },
	{ "lat", WORD_SUBJECT, "" },
	{ "gear", WORD_SUBJECT, "gears" },
	{ "gearbox", WORD_SUBJECT, "trans transmission tranny tcm atf" },
	{ "load", WORD_SUBJECT, "" },
	{ "map", WORD_SUBJECT, "" },
	{ "maf", WORD_SUBJECT, "" },
	{ "lambda", WORD_SUBJECT, "lam lmd lmbd lambdas" },
	{ "wideband", WORD_SUBJECT, "wb wbo uego wbo2 widebands" },
	{ "o2", WORD_SUBJECT, "oxygen ho2" },
	{ "equivalence", WORD_SUBJECT, "eq equiv" },
	{ "ratio", WORD_CHANGER, "rat" },
	{ "afr", WORD_SUBJECT, "afrs" },
	{ "fuel", WORD_SUBJECT, "fuelling fueling" },
	{ "consumption", WORD_SUBJECT, "cons" },
	{ "rail", WORD_SUBJECT, "" },
	{ "frp", WORD_SUBJECT, "" },
	{ "high", WORD_SUBJECT, "hi" },
	{ "low", WORD_SUBJECT, "lo lp" },
	{ "ethanol", WORD_SUBJECT, "eth alcohol alch" },
	{ "flex", WORD_SUBJECT, "" },
	{ "ignition", WORD_SUBJECT, "ign spark spk sprk" },
	{ "timing", WORD_SUBJECT, "tmg" },
	{ "advance", WORD_SUBJECT, "adv" },
	{ "knock", WORD_SUBJECT, "knk knocking detonation" },
	{ "retard", WORD_SUBJECT, "ret rtd retardation retarded pull pulled" },
	{ "misfire", WORD_SUBJECT, "misfires" },
	{ "injector", WORD_SUBJECT, "inj injection injectors" },
	{ "pulse", WORD_SUBJECT, "" },
	{ "width", WORD_SUBJECT, "" },
	{ "duration", WORD_SUBJECT, "" },
	{ "wastegate", WORD_SUBJECT, "wg wgate" },
	{ "waste", WORD_SUBJECT, "" },
	{ "gate", WORD_SUBJECT, "" },
	{ "battery", WORD_SUBJECT, "batt bat" },
	{ "supply", WORD_SUBJECT, "" },
	{ "system", WORD_SUBJECT, "sys" },
	{ "noise", WORD_SUBJECT, "" },
	{ "intensity", WORD_SUBJECT, "" },
	{ "run", WORD_SUBJECT, "" },
	{ "since", WORD_SUBJECT, "" },
	{ "start", WORD_SUBJECT, "" },
	{ "date", WORD_SUBJECT, "" },
	{ "force", WORD_SUBJECT, "" },
	{ "y", WORD_SUBJECT, "" },
	{ "z", WORD_SUBJECT, "" },
	{ "act", WORD_FILLER, "" },	/* actual; alone: air charge temperature */

	/* What changes nothing. */
	{ "actual", WORD_FILLER, "measured meas is" },
	{ "feedback", WORD_FILLER, "fb" },
	{ "current", WORD_FILLER, "curr cur" },
	{ "value", WORD_FILLER, "val values reading" },
	{ "sensor", WORD_FILLER, "sens snsr sen s probe" },
	{ "signal", WORD_FILLER, "sig" },
	{ "raw", WORD_FILLER, "" },
	{ "filtered", WORD_FILLER, "filt smoothed smooth" },
	{ "estimated", WORD_FILLER, "est modelled modeled model" },
	{ "calculated", WORD_FILLER, "calc computed" },
	{ "average", WORD_FILLER, "avg mean" },
	{ "total", WORD_FILLER, "overall final" },
	{ "absolute", WORD_FILLER, "abs absol" },
	{ "relative", WORD_FILLER, "rel r" },
	{ "gauge", WORD_FILLER, "gage" },
	{ "position", WORD_FILLER, "pos posn" },
	{ "angle", WORD_FILLER, "ang" },
	{ "engine", WORD_FILLER, "eng motor crank crankshaft" },
	{ "vehicle", WORD_FILLER, "veh car road ground" },
	{ "gps", WORD_FILLER, "gnss" },
	{ "wheel", WORD_FILLER, "whl wheels" },
	{ "front", WORD_FILLER, "" },
	{ "rear", WORD_FILLER, "" },
	{ "left", WORD_FILLER, "" },
	{ "right", WORD_FILLER, "" },
	{ "air", WORD_FILLER, "" },
	{ "gas", WORD_FILLER, "" },
	{ "body", WORD_FILLER, "plate" },
	{ "content", WORD_FILLER, "concentration" },
	{ "term", WORD_FILLER, "" },
	{ "cycle", WORD_FILLER, "cyc" },
	{ "cylinder", WORD_FILLER, "cyl cylinders" },
	{ "bank", WORD_FILLER, "" },
	{ "number", WORD_FILLER, "no num nr channel" },
	{ "module", WORD_FILLER, "ecu ecm pcm unit" },
	{ "stamp", WORD_FILLER, "" },
	{ "elapsed", WORD_FILLER, "log session logger day" },
	{ "engaged", WORD_FILLER, "" },
	{ "percent", WORD_FILLER, "pct percentage" },
	{ "psi", WORD_FILLER, "kpa hpa mpa bar mbar deg degrees celsius fahrenheit ms" },
	{ "of", WORD_FILLER, "the in at from for to and on point" },
	{ "x", WORD_FILLER, "" },
	{ "a", WORD_FILLER, "" },
	{ "b", WORD_FILLER, "" },
	{ "c", WORD_FILLER, "" },
	{ "d", WORD_FILLER, "" },
	{ "e", WORD_FILLER, "" },
	{ "f", WORD_FILLER, "" },

	/* What makes it another thing. */
	{ "target", WORD_CHANGER,
	  "targ tgt trgt tar desired des dsrd dsd requested request req rqst reqd commanded "
	  "command cmd cmnd setpoint setpt set sp specified spec demanded demand dmd goal "
	  "nominal dd wanted" },
	{ "error", WORD_CHANGER, "err deviation dev" },
	{ "correction", WORD_CHANGER, "corr cor correct adjustment adj" },
	{ "trim", WORD_CHANGER, "trims" },
	{ "control", WORD_CHANGER, "ctrl ctl controller" },
	{ "duty", WORD_CHANGER, "dc dty" },
	{ "solenoid", WORD_CHANGER, "sol actuator" },
	{ "valve", WORD_CHANGER, "vlv" },
	{ "pump", WORD_CHANGER, "pmp" },
	{ "count", WORD_CHANGER, "cnt counter counts counters" },
	{ "level", WORD_CHANGER, "lvl" },
	{ "learn", WORD_CHANGER, "learned learnt learning adaptive adaptation adapt" },
	{ "rate", WORD_CHANGER, "" },
	{ "limit", WORD_CHANGER, "lim limiter limited limits maximum max peak minimum min "
	  "threshold thresh hold warning warn alarm alert" },
	{ "state", WORD_CHANGER, "status stat flag switch sw mode enable enabled en active "
	  "fault faults dtc code codes ready monitor test inhibit" },
	{ "change", WORD_CHANGER, "gradient grad derivative dt delta diff difference "
	  "differential slope ramp rise dot" },
	{ "select", WORD_CHANGER, "selected selector selection table index" },
	{ "factor", WORD_CHANGER, "multiplier mult scalar modifier gain offset bias base "
	  "pid integral integrator proportional compensation accuracy reference ref loss "
	  "friction drag reserve" },
	{ "cam", WORD_CHANGER, "camshaft vvt cmp phaser overlap" },
	{ "heater", WORD_CHANGER, "heated heat htr" },
	{ "fan", WORD_CHANGER, "blower" },
	{ "idle", WORD_CHANGER, "" },
	{ "lateral", WORD_CHANGER, "vertical yaw pitch roll heading altitude" },
	{ "brake", WORD_CHANGER, "brk clutch steering steer tyre tyres tire tires damper" },
	{ "catalyst", WORD_CHANGER, "cat catalytic evap egr purge dpf crankcase" },
	{ "cruise", WORD_CHANGER, "launch converter slip cabin interior limp cut dwell coil "
	  "window spool lap dead latency lag frequency freq vacuum input output wind "
	  "resistance impedance" },
};

static const struct vocabulary_short shorts[] = {
	/* SAE J1979 short names. */
	{ "ect", "coolant temperature" },
	{ "clt", "coolant temperature" },
	{ "iat", "intake temperature" },
	{ "mat", "manifold temperature" },
	{ "aat", "ambient temperature" },
	{ "oat", "ambient temperature" },
	{ "eot", "oil temperature" },
	{ "eop", "oil pressure" },
	{ "egt", "exhaust temperature" },
	{ "cact", "cooler temperature" },
	{ "catemp", "catalyst temperature" },
	{ "shrtft", "short trim" },
	{ "longft", "long trim" },
	{ "vss", "vehicle speed" },
	{ "sparkadv", "ignition advance" },
	{ "tac", "throttle target" },
	{ "vpwr", "battery voltage" },
	{ "runtm", "run time" },
	{ "frt", "fuel temperature" },
	{ "mafa", "maf a" },
	{ "mafb", "maf b" },
	{ "tca", "turbo a" },
	{ "tcb", "turbo b" },
	{ "cinp", "compressor intake pressure" },
	{ "cint", "compressor intake temperature" },
	{ "coutt", "compressor outlet temperature" },
	{ "tint", "turbine intake temperature" },
	{ "toutt", "turbine outlet temperature" },
	{ "bp", "boost pressure" },
	{ "ep", "exhaust pressure" },

	/* Of the trade. */
	{ "bap", "barometric pressure" },
	{ "ebp", "exhaust pressure" },
	{ "emap", "exhaust pressure" },
	{ "stft", "short trim" },
	{ "ltft", "long trim" },
	{ "kr", "knock retard" },
	{ "ks", "knock sensor" },
	{ "fp", "fuel pressure" },
	{ "idc", "injector duty" },
	{ "ipw", "injector pulse width" },
	{ "pw", "pulse width" },
	{ "hpfp", "high pressure fuel pump" },
	{ "lpfp", "low pressure fuel pump" },
	{ "wgdc", "wastegate duty" },
	{ "vbat", "battery voltage" },
	{ "vbatt", "battery voltage" },
	{ "ubat", "battery voltage" },
	{ "oilp", "oil pressure" },
	{ "oilt", "oil temperature" },
	{ "fl", "front left" },
	{ "fr", "front right" },
	{ "rl", "rear left" },
	{ "rr", "rear right" },
	{ "lf", "front left" },
	{ "rf", "front right" },
	{ "lr", "rear left" },
	{ "af", "a f" },
};

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

static int is_word(const char *word, const char *spelling, size_t n)
{
	return word[0] == spelling[0] && strncmp(word, spelling, n) == 0 && word[n] == '\0';
}

const struct vocabulary_term *vocabulary_term(const char *spelling, size_t n)
{
	size_t i;

	for (i = 0; i < LENGTH(terms); i++)
		if (is_word(terms[i].word, spelling, n) ||
		    text_has_word(terms[i].spellings, spelling, n))
			return &terms[i];
	return NULL;
}

const struct vocabulary_short *vocabulary_short(const char *spelling, size_t n)
{
	size_t i;

	for (i = 0; i < LENGTH(shorts); i++)
		if (is_word(shorts[i].spelling, spelling, n))
			return &shorts[i];
	return NULL;
}
