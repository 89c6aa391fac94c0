/** Parameters of the three legs and of the timer that drives them. */
import { number, type ValuesOf, whole } from './band.ts';

export const BRIDGE = Object.freeze({
  pwm_Hz: number(8000, 40_000, 'Hz', 'PWM frequency'),
  updates: whole(1, 2, 'times per PWM period that a command takes effect and the sensors are read'),
  deadTime_s: number(0, 5e-6, 's', 'time between one switch off and the other on'),
  rds_ohm: number(1e-4, 0.1, 'ohm', 'on-resistance of a switch at 25 °C'),
  rdsTemp_1_K: number(0, 0.02, '1/K', 'its rise per kelvin above 25 °C'),
  rdsTemp2_1_K2: number(0, 1e-4, '1/K²', 'and per kelvin squared'),
  diode_V: number(0, 2, 'V', 'threshold of the body diode at 25 °C'),
  diodeTemp_V_K: number(-0.005, 0, 'V/K', 'change of the threshold per kelvin'),
  diode_ohm: number(1e-5, 0.1, 'ohm', 'slope of the body diode'),
  shunt_ohm: number(5e-5, 0.02, 'ohm', 'shunt under each low switch'),
  rise_s: number(0, 1e-6, 's', 'time in which a switch takes over the current'),
  fall_s: number(0, 1e-6, 's', 'time in which it lets go'),
  recovery_C: number(0, 1e-5, 'C', 'reverse recovery charge of a body diode'),
  avalanche_V: number(12, 200, 'V', 'link voltage at which the switches avalanche'),
  avalanche_ohm: number(1e-3, 1, 'ohm', 'slope of the avalanche'),
  boot_V: number(4, 20, 'V', 'high-side gate supply when freshly charged'),
  bootLow_V: number(2, 15, 'V', 'high-side gate supply below which the high switch is held off'),
  bootDroop_V_s: number(0, 1e5, 'V/s', 'fall of that supply while the low side is off'),
  bootCharge_s: number(1e-7, 1e-3, 's', 'time constant with which the low side charges it'),
  gateFull_V: number(2, 20, 'V', 'gate supply above which a switch has its full conductance'),
  junction_J_K: number(1e-4, 10, 'J/K', 'heat capacity of the two switches of a leg'),
  junctionSink_K_W: number(0.05, 50, 'K/W', 'from a leg to the common sink'),
  sink_J_K: number(0.1, 1000, 'J/K', 'heat capacity of the sink'),
  sinkAir_K_W: number(0.1, 200, 'K/W', 'from the sink to the air'),
});
export type BridgeParams = ValuesOf<typeof BRIDGE>;
