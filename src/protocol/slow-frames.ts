/**
 * Frames of the rate-split coupling, 100 to 1000 a second in wall time. The board runs its fast loops against a motor of
 * its own (a model in the firmware, or a dynamometer); the drill is what lies around that motor: pack before it, gear, chuck
 * and wood behind it. Values are means over the interval, in SI.
 */
import { f32, f32s, frame, maskOf, pad, u8, u16, u32, type ValuesOf } from './dsl.ts';
import { WATCH_MOST } from './limits.ts';
import { STATUS } from './status-fields.ts';

const unit = (unit: string, doc: string) => f32({ unit, scale: 'SI', doc });

export const SCENE = frame({
  name: 'Scene',
  id: 0x13,
  from: 'host',
  doc: 'What lies around the motor, for the interval that begins now.',
  fields: {
    number: u16({ doc: 'counts up by one, wraps; a gap is a lost frame' }),
    levels: u8({
      doc: 'logic levels',
      bits: [
        { name: 'SCENE_POWER', doc: 'the trigger contact is closed and the supply is up' },
        { name: 'SCENE_IN', doc: 'direction switch at In' },
        { name: 'SCENE_OUT', doc: 'direction switch at Out; neither: locked' },
      ],
    }),
    gear: u8({ doc: 'gear that is engaged: 1 or 2, 0 in neutral' }),
    clock: u32({ unit: 's', scale: 1e-6, doc: 'time of the drill at the start of the interval, wraps' }),
    trigger: u16({
      unit: 'travel',
      scale: '0 at Hello.triggerLow_counts, 1 at Hello.triggerHigh_counts',
      doc: 'trigger',
    }),
    reserved: pad(2),
    open: unit('V', 'pack behind its resistance; the link of the board is open - source * current'),
    source: unit('ohm', 'resistance of pack and wiring'),
    hold: unit('N·m', 'dry torque at the motor shaft: opposes turning up to this, and holds a shaft that stands'),
    push: unit('N·m', 'torque at the motor shaft beside it, positive in the sense In turns'),
    inertia: unit('kg·m2', 'what turns with the shaft beyond the rotor, seen from the shaft'),
    winding: unit('K', 'temperature of the winding'),
    bridge: unit('K', 'temperature of the switches'),
  },
});

export const REPORT = frame({
  name: 'Report',
  id: 0x24,
  from: 'board',
  doc: 'What the motor did in the interval of a Scene; one per Scene.',
  fields: {
    number: u16({ doc: 'number of the Scene that it answers' }),
    ...STATUS,
    angle: u32({ unit: 'rad', scale: (2 * Math.PI) / 65536, doc: 'angle of the motor shaft since power-up, wraps' }),
    speed: unit('rad/s', 'of the motor shaft, positive as the screw goes in'),
    torque: unit('N·m', 'mean torque at the shaft that went into hold, push and inertia'),
    drawn: unit('A', 'mean current from the pack, negative when braking'),
    loss: unit('W', 'mean heat in the winding'),
    busy: u16({
      unit: 's',
      scale: 1e-7,
      doc: 'time the processor spent on one period of its fast loop, 0: not measured',
    }),
    reserved: pad(2),
    watch: f32s(WATCH_MOST, { doc: 'values named in Hello.watch, in that order and in the units given there' }),
  },
});

export interface Scene extends ValuesOf<typeof SCENE> {}
export interface Report extends ValuesOf<typeof REPORT> {}

export const SCENE_POWER = maskOf(SCENE, 'SCENE_POWER');
export const SCENE_IN = maskOf(SCENE, 'SCENE_IN');
export const SCENE_OUT = maskOf(SCENE, 'SCENE_OUT');
