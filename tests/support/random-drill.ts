/** Drills that nobody designed, and hands that nobody would have: parameters, duties, gates, gears, loads and damages from a seed. */
import { BROKEN, DAMAGE, type DamageName } from '../../src/plant/damage.ts';
import { LOADS } from '../../src/plant/load/index.ts';
import type { Band } from '../../src/plant/params/band.ts';
import { type DrillParams, drillParams, GROUPS, type GroupName } from '../../src/plant/params.ts';
import { Plant } from '../../src/plant/plant.ts';
import { PRESETS, presetNames } from '../../src/plant/presets/index.ts';

const BITS = Object.values(BROKEN);

export type Draw = () => number;

/** One of the presets with every number times something from a half to two, within its band; lists stay as they are. */
function randomDrill(draw: Draw): DrillParams {
  const names = presetNames();
  const base = PRESETS[names[Math.floor(names.length * draw())]];
  const groups = Object.fromEntries(
    (Object.keys(GROUPS) as GroupName[]).map((name) => {
      const values = base[name] as unknown as Record<string, number | readonly number[]>;
      const bands = GROUPS[name] as unknown as Record<string, Band>;
      const entries = Object.entries(values).map(([key, value]) => {
        const band = bands[key];
        if (key === 'updates') return [key, draw() < 0.3 ? 2 : 1];
        if (typeof value !== 'number' || band.whole) return [key, value];
        const moved = value * 2 ** (2 * draw() - 1);
        return [key, Math.min(band.high, Math.max(band.low, moved))];
      });
      return [name, Object.fromEntries(entries)];
    }),
  );
  return drillParams({ ...base, ...groups } as DrillParams);
}

/** A plant from the draw, or what it was refused for. */
export function randomPlant(draw: Draw, seed: number): Plant | string {
  try {
    return new Plant(randomDrill(draw), { seed, h_s: draw() < 0.5 ? 0.5e-6 : 1e-6 });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return error.message;
  }
}

function handle(plant: Plant, draw: Draw): void {
  const any = (count: number): number => Math.floor(count * draw());
  const { hands, damage } = plant;
  const acts = [
    () => hands.set('trigger', any(3) / 2),
    () => hands.set('gear', any(3)),
    () => hands.set('clutch', any(4)),
    () => hands.set('grip', any(3) * 4),
    () => hands.set('meets', any(LOADS.length)),
    () => hands.placeNew(0.05 * draw()),
    () => hands.set('wrist', any(3)),
    () => damage.set((['legA', 'legB', 'legC'] as const)[any(3)], BITS[any(BITS.length)]),
    () => damage.set('wiring', any(4)),
    () => damage.set('shortOhm', 0.1 * draw()),
    () => damage.set('turnsShorted', 0.3 * draw()),
    () => hands.set('push', 300 * draw()),
    () => hands.set('jointSpan', 0.3 + 5 * draw()),
    () => (Object.keys(DAMAGE) as DamageName[]).map((name) => damage.set(name, 0)),
  ];
  acts[any(acts.length)]();
}

/** One update: now and then a hand moves or something breaks, now and then the command changes. */
export function actAndRun(plant: Plant, draw: Draw): void {
  act(plant, draw);
  plant.runPeriod();
}

/** What happens before an update, without running it. */
export function act(plant: Plant, draw: Draw): void {
  if (draw() < 0.03) handle(plant, draw);
  if (draw() < 0.2) plant.command(Math.floor(8 * draw()), draw(), draw(), draw());
}
