/** From a scenario to what a bench is made of: its drill as it is set, the board that goes with it, the start. */
import { drillOf } from '../scenario/drill.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { boardFor } from '../sensing/board.ts';
import type { BenchOptions } from './core.ts';
import type { Played } from './coupled.ts';

/** Throws RangeError on a drill that is not known or that its numbers make impossible; a loaded scenario has none. */
export function benchOptions(scenario: Scenario): BenchOptions {
  const drill = drillOf(scenario);
  const { shunts, seed, step_s: h_s, start } = scenario;
  const board = boardFor(drill, shunts ? { shunts } : {});
  return { drill, board, seed, h_s, rotorAngle_rad: start?.rotorAngle_rad };
}

/** A cosine of the plant is off by a few roundings from that of the engine. */
const COSINE_ROUNDING = 1e-9;

/**
 * Throws RangeError when a fresh bench has another drill than the scenario sets: whoever made it took the preset, and would
 * judge the wrong machine.
 */
export function requireDrill(scenario: Scenario, plant: Played): void {
  const { set = [], start = {} } = scenario;
  const says = set.length > 0 || Object.values(start).some((value) => value !== undefined);
  if (!says) return;
  const wanted = drillOf(scenario);
  for (const key of [...set.map((each) => each.key), 'pack.charge', 'heat.ambient_K']) {
    const [group, item] = key.split('.');
    const of = (drill: object) => String((drill as Record<string, Record<string, unknown>>)[group][item]);
    if (of(plant.params) !== of(wanted)) {
      throw new RangeError(`the scenario sets ${key} to ${of(wanted)}; the bench was made with ${of(plant.params)}`);
    }
  }
  const { rotorAngle_rad } = start;
  if (rotorAngle_rad === undefined) return;
  if (Math.abs(Math.cos(rotorAngle_rad) - plant.read('cos')) > COSINE_ROUNDING) {
    throw new RangeError('the scenario sets the rotor angle at the start; the bench was made without it');
  }
}
