/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Channel names as a trade person writes them: name, unit and quantity of a header
 * cell, without any values.  Also names that must not be taken for something.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "data/alias.h"
#include "data/datalog.h"
#include "data/recognise.h"
#include "data/vocabulary.h"

Suite *recognise_names_suite(void);

struct named {
	const char *header;
	const char *key;	/* of the quantity */
	int index;
	const char *unit;	/* as shown in ASCII; NULL: not looked at */
};

/* Plain words of the trade; common practice, no source. */
static const struct named trade[] = {
	{ "Time", "time", 0, "s" }, { "Time (s)", "time", 0, "s" },
	{ "time_ms", "time", 0, "ms" }, { "Timestamp(ms)", "time", 0, "ms" },
	{ "Time Stamp", "time", 0, NULL }, { "Elapsed Time [s]", "time", 0, "s" },
	{ "t [s]", "time", 0, "s" }, { "t", "time", 0, NULL },
	{ "Log time", "time", 0, NULL }, { "Time [hh:mm:ss.fff]", "time", 0, "s" },
	{ "DateTime", "time", 0, NULL }, { "Time since start (s)", "time", 0, "s" },
	{ "runtime", "time", 0, NULL }, { "Elapsed (s)", "time", 0, "s" },

	{ "RPM", "rpm", 0, "rpm" }, { "Engine RPM", "rpm", 0, "rpm" },
	{ "ENGINE_RPM ()", "rpm", 0, "rpm" }, { "Engine RPM[RPM]", "rpm", 0, "rpm" },
	{ "Engine Speed", "rpm", 0, NULL }, { "Engine speed (1/min)", "rpm", 0, "rpm" },
	{ "engine_speed_rpm", "rpm", 0, "rpm" }, { "EngineSpeed", "rpm", 0, NULL },
	{ "ENGINESPEED", "rpm", 0, NULL }, { "n [1/min]", "rpm", 0, "rpm" },
	{ "Revs", "rpm", 0, NULL }, { "Crank Speed", "rpm", 0, NULL },
	{ "Engine speed [Hz]", "rpm", 0, "1/s" }, { "RPM (krpm)", "rpm", 0, "krpm" },
	{ "Tacho", "rpm", 0, NULL }, { "Actual engine speed", "rpm", 0, NULL },

	{ "Speed", "speed", 0, "km/h" }, { "Speed km/h", "speed", 0, "km/h" },
	{ "Speed_km_h", "speed", 0, "km/h" }, { "Vehicle Speed[km/h]", "speed", 0, "km/h" },
	{ "Vehicle Speed (mph)", "speed", 0, "mph" }, { "VehicleSpeedKph", "speed", 0, "km/h" },
	{ "MPH", "speed", 0, "mph" }, { "GPS Speed (m/s)", "speed", 0, "m/s" },
	{ "Speed (GPS)", "speed", 0, NULL }, { "Road speed kph", "speed", 0, "km/h" },
	{ "wheel speed front left", "speed", 1, NULL }, { "Wheel Speed FR", "speed", 2, NULL },
	{ "Wheel speed RL [km/h]", "speed", 3, "km/h" }, { "WheelSpeed_RR", "speed", 4, NULL },
	{ "speed wheel left rear", "speed", 3, NULL }, { "Ground Speed", "speed", 0, NULL },

	{ "Gear", "gear", 0, NULL }, { "Gear Position", "gear", 0, NULL },
	{ "Current gear", "gear", 0, NULL }, { "gear_actual", "gear", 0, NULL },
	{ "Gear Ratio", "gear_ratio", 0, NULL },
	{ "Accel X (g)", "accel", 0, "g" }, { "Acceleration (m/s²)", "accel", 0, "m/s2" },
	{ "Longitudinal acceleration [m/s^2]", "accel", 0, "m/s2" },
	{ "Long G", "accel", 0, "g" }, { "G Force X", "accel", 0, "g" },
	{ "AccelX", "accel", 0, NULL }, { "accel_long_g", "accel", 0, "g" },
	{ "Acceleration", "accel", 0, NULL },

	{ "Accelerator Pedal", "pedal", 0, NULL }, { "Accel (%)", "pedal", 0, "%" },
	{ "Accelerator", "pedal", 0, NULL }, { "Pedal Position (%)", "pedal", 0, "%" },
	{ "Accel Pedal Pos %", "pedal", 0, "%" }, { "accel position", "pedal", 0, NULL },
	{ "APP", "pedal", 0, NULL }, { "PedalPos", "pedal", 0, NULL },
	{ "Acceleration pedal position", "pedal", 0, NULL },
	{ "Throttle pedal [%]", "pedal", 0, "%" }, { "Pedal 2", "pedal", 2, NULL },
	{ "Throttle", "throttle", 0, "%" }, { "Throttle Position (%)", "throttle", 0, "%" },
	{ "TPS", "throttle", 0, NULL }, { "TPS (%)", "throttle", 0, "%" },
	{ "Throttle angle [°]", "throttle", 0, "deg" }, { "Throttle Body 2", "throttle", 2, NULL },
	{ "throttle_pct", "throttle", 0, "%" }, { "Throttle valve position", "throttle", 0, NULL },
	{ "Throttle Target %", "throttle_target", 0, "%" },
	{ "Requested throttle angle", "throttle_target", 0, NULL },

	{ "Boost", "boost", 0, "kPa" }, { "Boost (psi)", "boost", 0, "psi" },
	{ "Boost, psi", "boost", 0, "psi" }, { "Boost_psi", "boost", 0, "psi" },
	{ "Boost [PSI (g)]", "boost", 0, "psi" }, { "BoostPressure_bar", "boost", 0, "bar" },
	{ "Boost Pressure (actual)", "boost", 0, NULL }, { "boostpressure", "boost", 0, NULL },
	{ "Charge pressure hPa", "boost", 0, "hPa" }, { "Relative boost", "boost", 0, NULL },
	{ "Turbo pressure", "boost", 0, NULL }, { "Boost 2", "boost", 2, NULL },
	{ "Pressure before throttle (kPa)", "boost", 0, "kPa" },
	{ "Relative manifold pressure", "boost", 0, NULL },
	{ "Manifold Pressure (psig)", "boost", 0, "psi" }, { "MAP [kPa gauge]", "boost", 0, "kPa" },
	{ "Boost (psia)", "map", 0, "psi" }, { "Boost pressure [bar abs]", "map", 0, "bar" },
	{ "Absolute boost pressure", "map", 0, NULL },
	{ "boost target", "boost_target", 0, NULL }, { "Target Boost (psi)", "boost_target", 0, "psi" },
	{ "desired boost", "boost_target", 0, NULL },
	{ "requested boost pressure", "boost_target", 0, NULL },
	{ "boost pressure setpoint", "boost_target", 0, NULL },
	{ "Boost Set Point", "boost_target", 0, NULL },
	{ "Boost commanded", "boost_target", 0, NULL },
	{ "Specified boost pressure (hPa)", "boost_target", 0, "hPa" },
	{ "Boost Tgt psi", "boost_target", 0, "psi" }, { "BoostTarget", "boost_target", 0, NULL },
	{ "Charge Pressure Demand", "boost_target", 0, NULL },
	{ "Boost error", "boost_error", 0, NULL }, { "Boost pressure deviation (kPa)", "boost_error", 0, "kPa" },
	{ "MAP", "map", 0, "kPa" }, { "MAP_kPa", "map", 0, "kPa" }, { "MAP (bar)", "map", 0, "bar" },
	{ "Manifold Absolute Pressure", "map", 0, NULL }, { "Manifold Pressure", "map", 0, NULL },
	{ "Intake pressure", "map", 0, NULL }, { "Intake Manifold Pressure (kPa)", "map", 0, "kPa" },
	{ "MAP target", "map_target", 0, NULL }, { "Target MAP kPa", "map_target", 0, "kPa" },
	{ "Manifold pressure setpoint", "map_target", 0, NULL },
	{ "Baro", "baro", 0, NULL }, { "Barometric Pressure (kPa)", "baro", 0, "kPa" },
	{ "ambient pressure", "baro", 0, NULL }, { "Atmospheric Pressure [hPa]", "baro", 0, "hPa" },
	{ "Ambient (kPa)", "baro", 0, "kPa" }, { "P atm", "baro", 0, NULL },
	{ "Exhaust back pressure", "exhaust_pressure", 0, NULL },
	{ "EMAP (kPa)", "exhaust_pressure", 0, "kPa" },
	{ "Pre-turbine pressure", "exhaust_pressure", 0, NULL },
	{ "Exhaust manifold pressure bar", "exhaust_pressure", 0, "bar" },

	{ "Wastegate Duty (%)", "wastegate", 0, "%" }, { "boost solenoid duty", "wastegate", 0, NULL },
	{ "WGDC", "wastegate", 0, NULL }, { "Wastegate position", "wastegate", 0, NULL },
	{ "Boost control duty cycle", "wastegate", 0, NULL }, { "Boost (%)", "wastegate", 0, "%" },
	{ "Waste gate", "wastegate", 0, NULL }, { "Wastegate solenoid", "wastegate", 0, NULL },
	{ "Boost Duty Cycle", "wastegate", 0, NULL }, { "Boost control valve (%)", "wastegate", 0, "%" },
	{ "turbo speed", "turbo_speed", 0, NULL }, { "Turbo RPM", "turbo_speed", 0, "rpm" },
	{ "Turbo Speed (krpm)", "turbo_speed", 0, "krpm" }, { "Shaft speed", "turbo_speed", 0, NULL },
	{ "Turbo 2 speed [Hz]", "turbo_speed", 2, "1/s" },

	{ "MAF (g/s)", "maf", 0, "g/s" }, { "Mass Air Flow[g/sec]", "maf", 0, "g/s" },
	{ "Airflow", "maf", 0, NULL }, { "Air mass (kg/h)", "maf", 0, "kg/h" },
	{ "Mass airflow lb/min", "maf", 0, "lb/min" }, { "MAF Rate g/s", "maf", 0, "g/s" },
	{ "Air flow rate", "maf", 0, NULL },
	{ "Load", "load", 0, NULL }, { "Engine Load (%)", "load", 0, "%" },
	{ "Absolute Load[%]", "load", 0, "%" }, { "Relative load", "load", 0, NULL },
	{ "Air charge (mg/stroke)", "load", 0, "mg/stroke" }, { "Calculated load", "load", 0, NULL },
	{ "Load g/rev", "load", 0, "g/rev" }, { "Air mass (mg/stroke)", "load", 0, "mg/stroke" },

	{ "Lambda", "lambda", 0, "lambda" }, { "Lambda (λ)", "lambda", 0, "lambda" },
	{ "λ", "lambda", 0, NULL }, { "Lambda 1", "lambda", 1, NULL },
	{ "lambda_actual", "lambda", 0, NULL }, { "Lambda sensor 1", "lambda", 1, NULL },
	{ "Wideband", "lambda", 0, NULL }, { "Wideband O2", "lambda", 0, NULL },
	{ "Lambda bank 2", "lambda", 2, NULL }, { "WBO2 lambda", "lambda", 0, NULL },
	{ "Lambda B1S1", "lambda", 11, NULL }, { "O2 (λ)", "lambda", 0, "lambda" },
	{ "lambda target", "lambda_target", 0, NULL }, { "Target Lambda", "lambda_target", 0, NULL },
	{ "Commanded lambda", "lambda_target", 0, NULL }, { "LambdaSetpoint", "lambda_target", 0, NULL },
	{ "Lambda requested", "lambda_target", 0, NULL }, { "Lambda error", "lambda_error", 0, NULL },
	{ "AFR", "afr", 0, ":1" }, { "Air Fuel Ratio", "afr", 0, NULL },
	{ "Air/Fuel Ratio", "afr", 0, NULL }, { "A/F", "afr", 0, NULL }, { "A/F ratio", "afr", 0, NULL },
	{ "Wideband AFR", "afr", 0, ":1" }, { "AFR (:1)", "afr", 0, ":1" }, { "AFR 1", "afr", 1, NULL },
	{ "Target AFR", "afr_target", 0, NULL }, { "Commanded AFR", "afr_target", 0, NULL },
	{ "AFR Target", "afr_target", 0, NULL }, { "Air fuel ratio desired", "afr_target", 0, NULL },

	{ "STFT", "trim_short", 0, NULL }, { "Short Term Fuel Trim Bank 1[%]", "trim_short", 1, "%" },
	{ "short term fuel trim bank 1", "trim_short", 1, NULL }, { "STFT B2 (%)", "trim_short", 2, "%" },
	{ "Lambda control (%)", "trim_short", 0, "%" }, { "Fuel correction %", "trim_short", 0, "%" },
	{ "Lambda correction", "trim_short", 0, NULL }, { "Fuel Trim (%)", "trim_short", 0, "%" },
	{ "LTFT 2", "trim_long", 2, NULL }, { "Long Term Fuel Trim Bank 1[%]", "trim_long", 1, "%" },
	{ "Long term trim", "trim_long", 0, NULL }, { "Learned fuel trim", "trim_long", 0, NULL },

	{ "Injector Pulse Width (ms)", "injector_time", 0, "ms" },
	{ "Injection time ms", "injector_time", 0, "ms" }, { "Inj PW", "injector_time", 0, NULL },
	{ "Injector pulsewidth", "injector_time", 0, NULL }, { "Injector (ms)", "injector_time", 0, "ms" },
	{ "Injector 3 on time", "injector_time", 3, NULL },
	{ "Injector Duty (%)", "injector_duty", 0, "%" }, { "injector duty cycle", "injector_duty", 0, NULL },
	{ "IDC", "injector_duty", 0, NULL }, { "Inj Duty", "injector_duty", 0, NULL },
	{ "Injector Duty (Cyl 1) [%]", "injector_duty", 1, "%" }, { "Duty Cycle", "injector_duty", 0, NULL },
	{ "Fuel Rail Pressure (bar)", "rail_pressure", 0, "bar" },
	{ "Rail pressure", "rail_pressure", 0, NULL }, { "RailPressure_MPa", "rail_pressure", 0, "MPa" },
	{ "High pressure fuel", "rail_pressure", 0, NULL }, { "HPFP pressure", "rail_pressure", 0, NULL },
	{ "Fuel pressure high (bar)", "rail_pressure", 0, "bar" }, { "Rail (bar)", "rail_pressure", 0, "bar" },
	{ "HP fuel pressure", "rail_pressure", 0, NULL },
	{ "fuel rail pressure target", "rail_target", 0, NULL }, { "Rail target", "rail_target", 0, NULL },
	{ "Target rail pressure [bar]", "rail_target", 0, "bar" },
	{ "Fuel pressure setpoint", "rail_target", 0, NULL },
	{ "Fuel Pressure (psi)", "fuel_pressure", 0, "psi" }, { "low pressure fuel", "fuel_pressure", 0, NULL },
	{ "Low fuel pressure bar", "fuel_pressure", 0, "bar" }, { "LPFP pressure", "fuel_pressure", 0, NULL },
	{ "Fuel (bar)", "fuel_pressure", 0, "bar" },
	{ "Fuel Rate[L/hr]", "fuel_rate", 0, "L/h" }, { "Fuel flow (cc/min)", "fuel_rate", 0, "cc/min" },
	{ "Fuel flow rate (g/s)", "fuel_rate", 0, "g/s" }, { "fuel_l_h", "fuel_rate", 0, "L/h" },
	{ "Ethanol Content %", "ethanol", 0, "%" }, { "Ethanol", "ethanol", 0, NULL },
	{ "Flex fuel (%)", "ethanol", 0, "%" },

	{ "Ignition Timing", "ignition", 0, NULL }, { "Ignition timing cyl 1", "ignition", 1, NULL },
	{ "timing", "ignition", 0, NULL }, { "Spark Advance (deg)", "ignition", 0, "deg" },
	{ "Ignition angle [°BTDC]", "ignition", 0, "deg" }, { "Timing Advance", "ignition", 0, NULL },
	{ "Ign Adv °", "ignition", 0, "deg" }, { "Ignition", "ignition", 0, NULL },
	{ "IgnitionAngle_deg", "ignition", 0, "deg" }, { "Timing deg BTDC", "ignition", 0, "deg" },
	{ "Spark Angle (° CA)", "ignition", 0, "deg" }, { "Advance", "ignition", 0, NULL },
	{ "Ignition target", "ignition_target", 0, NULL },
	{ "Commanded ignition timing", "ignition_target", 0, NULL },
	{ "knock retard cyl 3", "knock_retard", 3, NULL }, { "Knock (deg) cyl 2", "knock_retard", 2, "deg" },
	{ "Cyl1_KnockRtd", "knock_retard", 1, NULL }, { "timing correction", "knock_retard", 0, NULL },
	{ "knock correction", "knock_retard", 0, NULL }, { "Timing Corr. Cyl 4 (°)", "knock_retard", 4, "deg" },
	{ "Cylinder #2 knock retard", "knock_retard", 2, NULL }, { "Timing pull", "knock_retard", 0, NULL },
	{ "Knock Retard [deg]", "knock_retard", 0, "deg" }, { "Feedback knock", "knock_retard", 0, NULL },
	{ "Ignition retard cylinder 3", "knock_retard", 3, NULL }, { "KR", "knock_retard", 0, NULL },
	{ "Knock °", "knock_retard", 0, "deg" }, { "Ignition timing correction", "knock_retard", 0, NULL },
	{ "knock sensor voltage", "knock_level", 0, NULL }, { "Knock level", "knock_level", 0, NULL },
	{ "Knock V", "knock_level", 0, "V" }, { "Knock sensor 2 (V)", "knock_level", 2, "V" },
	{ "Knock count", "knock_level", 0, NULL }, { "Knock noise cyl 1", "knock_level", 1, NULL },
	{ "Misfire count", "misfires", 0, NULL }, { "Misfires cyl 3", "misfires", 3, NULL },

	{ "Torque", "torque", 0, "Nm" }, { "Engine Torque (lb-ft)", "torque", 0, "lbf ft" },
	{ "Torque Nm", "torque", 0, "Nm" }, { "Torque lb ft", "torque", 0, "lbf ft" },
	{ "Torque request", "torque_target", 0, NULL }, { "Target torque (Nm)", "torque_target", 0, "Nm" },
	{ "Power (kW)", "power", 0, "kW" }, { "HP", "power", 0, "hp" }, { "Wheel power hp", "power", 0, "hp" },

	{ "Intake Air Temperature", "intake_temp", 0, NULL }, { "IAT (°C)", "intake_temp", 0, "degC" },
	{ "IAT F", "intake_temp", 0, "degF" }, { "Charge Air Temp", "intake_temp", 0, NULL },
	{ "Intake temp °F", "intake_temp", 0, "degF" }, { "Manifold air temp", "intake_temp", 0, NULL },
	{ "Inlet air temp deg C", "intake_temp", 0, "degC" }, { "ACT", "intake_temp", 0, NULL },
	{ "MAT", "intake_temp", 0, NULL }, { "Intake manifold temperature", "intake_temp", 0, NULL },
	{ "Air temp (C)", "intake_temp", 0, "degC" }, { "Intake (°C)", "intake_temp", 0, "degC" },
	{ "Intercooler outlet temp", "cooler_out_temp", 0, NULL },
	{ "Post intercooler temp (C)", "cooler_out_temp", 0, "degC" },
	{ "Charge air cooler temperature", "cooler_out_temp", 0, NULL },
	{ "Intake temp after intercooler", "cooler_out_temp", 0, NULL },
	{ "Compressor outlet temperature", "compressor_out_temp", 0, NULL },
	{ "Intercooler inlet temp", "compressor_out_temp", 0, NULL },
	{ "Compressor discharge temp °C", "compressor_out_temp", 0, "degC" },
	{ "Outside Air Temperature[DegC]", "ambient_temp", 0, "degC" },
	{ "Ambient temp", "ambient_temp", 0, NULL }, { "Ambient (°C)", "ambient_temp", 0, "degC" },
	{ "EGT", "egt", 0, NULL }, { "EGT bank 2", "egt", 2, NULL }, { "EGT1 (°C)", "egt", 1, "degC" },
	{ "Exhaust Gas Temperature", "egt", 0, NULL }, { "Pre turbine temp", "egt", 0, NULL },
	{ "Exhaust temp cyl 4 [°F]", "egt", 4, "degF" }, { "EGTBank1", "egt", 1, NULL },
	{ "Pre turbo exhaust temp", "egt", 0, NULL },
	{ "Coolant Temp", "coolant_temp", 0, NULL }, { "CLT", "coolant_temp", 0, NULL },
	{ "Water temp (C)", "coolant_temp", 0, "degC" }, { "Engine coolant temperature F", "coolant_temp", 0, "degF" },
	{ "Engine temp", "coolant_temp", 0, NULL }, { "Coolant [°C]", "coolant_temp", 0, "degC" },
	{ "Oil Temp °C", "oil_temp", 0, "degC" }, { "OilTempC", "oil_temp", 0, "degC" },
	{ "Engine oil temperature", "oil_temp", 0, NULL }, { "oil_temp_deg_c", "oil_temp", 0, "degC" },
	{ "Oil (°C)", "oil_temp", 0, "degC" }, { "oiltemp", "oil_temp", 0, NULL },
	{ "Oil Pressure psi", "oil_pressure", 0, "psi" }, { "Oil (psi)", "oil_pressure", 0, "psi" },
	{ "OilPress", "oil_pressure", 0, NULL }, { "Trans Temp F", "gearbox_temp", 0, "degF" },
	{ "Gearbox oil temp", "gearbox_temp", 0, NULL }, { "Transmission temperature", "gearbox_temp", 0, NULL },
	{ "Fuel temp", "fuel_temp", 0, NULL }, { "Fuel rail temperature (C)", "fuel_temp", 0, "degC" },
	{ "Humidity %", "humidity", 0, "%" }, { "Relative humidity", "humidity", 0, NULL },
	{ "Battery Voltage", "battery", 0, "V" }, { "Battery (V)", "battery", 0, "V" },
	{ "Voltage", "battery", 0, NULL }, { "VBAT", "battery", 0, NULL }, { "ECU voltage", "battery", 0, NULL },
	{ "Supply Voltage (mV)", "battery", 0, "mV" },
	{ "Distance (m)", "distance", 0, "m" }, { "Distance km", "distance", 0, "km" },
	{ "Latitude", "latitude", 0, NULL }, { "GPS Lat", "latitude", 0, NULL },
	{ "Longitude (deg)", "longitude", 0, "deg" }, { "GPS Long", "longitude", 0, NULL },
};

/*
 * SAE J1979 (ISO 15031-5) short names of service 01 with the unit of their scaling,
 * after the SAE J1699-3 test code and public lists of PIDs.
 */
static const struct named j1979[] = {
	{ "LOAD_PCT (%)", "load", 0, "%" },
	{ "ECT (°C)", "coolant_temp", 0, "degC" },
	{ "SHRTFT1 (%)", "trim_short", 1, "%" }, { "SHRTFT2 (%)", "trim_short", 2, "%" },
	{ "LONGFT1 (%)", "trim_long", 1, "%" }, { "LONGFT2 (%)", "trim_long", 2, "%" },
	{ "FRP (kPa)", "rail_pressure", 0, "kPa" },	/* PIDs 0A, 22, 23, 59: by the values */
	{ "MAP (kPa)", "map", 0, "kPa" },
	{ "RPM (1/min)", "rpm", 0, "rpm" },
	{ "VSS (km/h)", "speed", 0, "km/h" },
	{ "SPARKADV (°)", "ignition", 0, "deg" },
	{ "IAT (°C)", "intake_temp", 0, "degC" },
	{ "MAF (g/s)", "maf", 0, "g/s" },
	{ "TP (%)", "throttle", 0, "%" },
	{ "RUNTM (s)", "time", 0, "s" },
	{ "EQ_RAT11", "lambda", 11, NULL }, { "EQ_RAT21", "lambda", 21, NULL },
	{ "BARO (kPa)", "baro", 0, "kPa" },
	{ "VPWR (V)", "battery", 0, "V" },
	{ "LOAD_ABS (%)", "load", 0, "%" },
	{ "EQ_RAT", "lambda_target", 0, NULL },
	{ "TP_R (%)", "throttle", 0, "%" },
	{ "AAT (°C)", "ambient_temp", 0, "degC" },
	{ "TP_B (%)", "throttle", 2, "%" }, { "TP_C (%)", "throttle", 3, "%" },
	{ "APP_D (%)", "pedal", 4, "%" }, { "APP_E (%)", "pedal", 5, "%" },
	{ "APP_F (%)", "pedal", 6, "%" },
	{ "TAC_PCT (%)", "throttle_target", 0, "%" },
	{ "ALCH_PCT (%)", "ethanol", 0, "%" },
	{ "APP_R (%)", "pedal", 0, "%" },
	{ "EOT (°C)", "oil_temp", 0, "degC" },
	{ "FUEL_RATE (L/h)", "fuel_rate", 0, "L/h" },
	{ "TQ_DD (%)", "torque_target", 0, "%" }, { "TQ_ACT (%)", "torque", 0, "%" },
	{ "MAFA (g/s)", "maf", 1, "g/s" }, { "MAFB (g/s)", "maf", 2, "g/s" },
	{ "IAT11 (°C)", "intake_temp", 11, "degC" }, { "IAT23 (°C)", "intake_temp", 23, "degC" },
	{ "FRP_A_CMD (kPa)", "rail_target", 1, "kPa" }, { "FRP_A (kPa)", "rail_pressure", 1, "kPa" },
	{ "FRT_A (°C)", "fuel_temp", 1, "degC" }, { "FRP_B (kPa)", "rail_pressure", 2, "kPa" },
	{ "BP_A_CMD (kPa)", "boost_target", 1, "kPa" }, { "BP_A_ACT (kPa)", "boost", 1, "kPa" },
	{ "BP_B_ACT (kPa)", "boost", 2, "kPa" },
	{ "WG_A_CMD (%)", "wastegate", 1, "%" }, { "WG_A_ACT (%)", "wastegate", 1, "%" },
	{ "EP1 (kPa)", "exhaust_pressure", 1, "kPa" }, { "EP2 (kPa)", "exhaust_pressure", 2, "kPa" },
	{ "TCA_RPM (rpm)", "turbo_speed", 1, "rpm" }, { "TCB_RPM (rpm)", "turbo_speed", 2, "rpm" },
	{ "TCA_COUTT (°C)", "compressor_out_temp", 1, "degC" },
	{ "TCA_TINT (°C)", "egt", 1, "degC" }, { "TCA_TOUTT (°C)", "egt", 1, "degC" },
	{ "CACT (°C)", "cooler_out_temp", 0, "degC" },
	{ "EGT (°C)", "egt", 0, "degC" }, { "EGT12 (°C)", "egt", 12, "degC" },

	/* What we have no quantity for, and must not take for another. */
	{ "CATEMP11 (°C)", "none", 0, "degC" },		/* catalyst */
	{ "TQ_REF (Nm)", "none", 0, "Nm" },		/* a constant of the engine */
	{ "TCA_CINP (kPa)", "none", 0, "kPa" },		/* compressor inlet */
	{ "TCA_CINT (°C)", "none", 0, "degC" },
	{ "VGT_A_CMD (%)", "none", 0, "%" },		/* variable geometry */
	{ "VGT_A_ACT (%)", "none", 0, "%" },
};

/* Names that are easily taken for what they are not. */
static const char *const traps[] = {
	"temperature", "pressure", "target", "sensor", "actual", "oil", "fuel", "air", "engine",
	"oil pressure target", "oil level", "fuel level", "coolant level (%)", "fuel pump duty",
	"fuel pump speed", "idle speed target", "Target idle RPM", "RPM limit", "speed limit",
	"max boost", "Peak boost psi", "boost limit", "Boost leak time", "boost enable",
	"boost table", "Fuel map", "ignition map", "map switch", "MAP sensor voltage",
	"MAP (V)", "MAP V", "TPS Voltage", "Throttle (V)", "Pedal 1 voltage", "Lambda sensor voltage",
	"Lambda heater duty", "O2 sensor", "O2 voltage (V)", "MAF voltage", "MAF (V)", "MAF frequency",
	"Oil pressure (V)", "Coolant temp (V)", "IAT (V)", "Boost (°C)", "Oil temp (kPa)", "Gear (°C)",
	"knock threshold", "knock window", "knock flag", "learned knock retard",
	"ignition dwell", "ignition cut", "coil dwell time", "cam timing", "intake cam angle",
	"VVT advance", "injection timing", "injector dead time", "spool time", "lap time",
	"fan speed", "pump speed", "input shaft speed", "output shaft speed", "wind speed",
	"brake pressure", "brake pedal", "clutch pedal", "tyre pressure FL", "tyre temp",
	"steering angle", "accel y", "lateral g", "Accel Z (g)", "yaw rate", "altitude", "heading",
	"battery current", "battery temp", "sensor 3 voltage", "5V sensor supply",
	"torque limit", "torque converter slip", "wheel torque", "power steering pressure",
	"A/C pressure", "cabin temp", "EGR temperature", "catalyst temp", "DPF pressure",
	"crankcase pressure", "compressor inlet pressure", "fuel economy", "CO2", "status",
	"gear shift request", "target gear", "cruise speed", "AFR error", "0-100 time", "time 60 to 130", "launch control rpm",
	"manifold vacuum", "Differential oil temp", "lambda target table", "Vitamin C", "",
	"()", "123", "###", "unnamed", "column 7", "Trigger", "Lat g", "boost trim",
};

static void recognise_header(const char *header, const struct named *want)
{
	struct datalog *log = datalog_new("test");
	const struct channel *ch = datalog_add(log, header, "", column_new());

	recognise_all(log);
	ck_assert_msg(strcmp(ch->quantity->key, want->key) == 0, "'%s' is %s, want %s (%s)", header,
		      ch->quantity->key, want->key, ch->why);
	ck_assert_msg(ch->index == want->index, "'%s' index %d, want %d", header, ch->index,
		      want->index);
	ck_assert_msg(want->unit == NULL || strcmp(channel_unit_text(ch, true), want->unit) == 0,
		      "'%s' in '%s', want '%s'", header, channel_unit_text(ch, true), want->unit);
	ck_assert_msg(ch->why[0] != '\0', "'%s' has no reason", header);
	datalog_free(log);
}

START_TEST(knows_words_of_the_trade)
{
	recognise_header(trade[_i].header, &trade[_i]);
}
END_TEST

START_TEST(knows_j1979_names)
{
	recognise_header(j1979[_i].header, &j1979[_i]);
}
END_TEST

START_TEST(falls_into_no_trap)
{
	const struct named none = { traps[_i], "none", 0, NULL };
	struct datalog *log = datalog_new("test");
	const struct channel *ch = datalog_add(log, none.header, "", column_new());

	recognise_all(log);
	ck_assert_msg(ch->quantity->id == Q_NONE, "'%s' is %s (%s)", none.header,
		      ch->quantity->key, ch->why);
	datalog_free(log);
}
END_TEST

/* Every word that an alias asks for, allows or refuses is in the vocabulary. */
static void check_words(const struct alias *a, const char *list)
{
	while (*list != '\0') {
		const size_t len = strcspn(list, " ");
		const struct vocabulary_term *term = vocabulary_term(list, len);

		ck_assert_msg(term != NULL && strlen(term->word) == len &&
			      memcmp(term->word, list, len) == 0, "'%.*s' of alias '%s'",
			      (int)len, list, a->need);
		list += len + strspn(list + len, " ");
	}
}

START_TEST(aliases_use_the_vocabulary)
{
	size_t i;

	for (i = 0; i < alias_count(); i++) {
		const struct alias *a = alias_by_index(i);

		ck_assert(a->need[0] != '\0' && a->id != Q_NONE);
		check_words(a, a->need);
		check_words(a, a->allow);
		check_words(a, a->refuse);
	}
	ck_assert_ptr_null(alias_by_index(alias_count()));
}
END_TEST

/* The alias wins with its own words, in some unit if it asks for one; else it is dead. */
static bool is_alive(const struct alias *a)
{
	struct name_words words;
	size_t i;

	name_words_split(&words, a->need);
	words.index = (a->flags & ALIAS_NUMBERED) ? 1 : 0;
	if ((a->flags & ALIAS_UNIT) == 0)
		return alias_match(&words, NULL).id == a->id;
	for (i = 0; i < unit_count(); i++)
		if (alias_match(&words, unit_by_index(i)).id == a->id)
			return true;
	return false;
}

START_TEST(no_alias_is_dead)
{
	size_t i;

	for (i = 0; i < alias_count(); i++) {
		const struct alias *a = alias_by_index(i);

		ck_assert_msg(is_alive(a), "'%s' never gives %s", a->need,
			      quantity_get(a->id)->key);
	}
}
END_TEST

START_TEST(every_quantity_has_an_alias)
{
	int id;

	for (id = Q_NONE + 1; id < Q_COUNT; id++) {
		size_t i;

		for (i = 0; i < alias_count(); i++)
			if (alias_by_index(i)->id == (enum quantity_id)id)
				break;
		ck_assert_msg(i < alias_count(), "%s", quantity_get((enum quantity_id)id)->key);
	}
}
END_TEST

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

Suite *recognise_names_suite(void)
{
	Suite *s = suite_create("recognise_names");
	TCase *t = tcase_create("names");

	tcase_add_loop_test(t, knows_words_of_the_trade, 0, LENGTH(trade));
	tcase_add_loop_test(t, knows_j1979_names, 0, LENGTH(j1979));
	tcase_add_loop_test(t, falls_into_no_trap, 0, LENGTH(traps));
	tcase_add_test(t, aliases_use_the_vocabulary);
	tcase_add_test(t, no_alias_is_dead);
	tcase_add_test(t, every_quantity_has_an_alias);
	suite_add_tcase(s, t);
	return s;
}
