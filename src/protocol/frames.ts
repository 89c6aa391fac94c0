/**
 * Every byte that crosses a link is declared here, in link-frames.ts, slow-frames.ts and hello.ts, and nowhere else. The
 * codec, the C header src/board/phantom_link.h and the tables of src/board/PROTOCOL.md are made from these declarations
 * (npm run protocol).
 *
 * Rules: append fields, never reorder; a changed meaning takes a new id; ids are never used twice. What is released is
 * written down in tests/protocol/released.json, and a test holds the declarations to it.
 * Numbers travel little-endian, without gaps. A board writes MessagePack and never has to read it: all that the drill
 * sends has a fixed layout.
 */
import { codeOf, type Frame, f32s, frame, maskOf, pad, u8, u16, u32, type ValuesOf } from './dsl.ts';
import { BUSY_COUNT_S, DUTY_FULL, HALL_AGE_COUNT_S, WATCH_MOST } from './limits.ts';
import { BEAT, BYE, GREET, NOTE, POWER, REFUSE, WELCOME } from './link-frames.ts';
import { REPORT, SCENE } from './slow-frames.ts';
import { STATUS } from './status-fields.ts';

export * from './limits.ts';
export * from './link-frames.ts';
export * from './slow-frames.ts';

const RATIO = {
  unit: 'share of the reference',
  scale: 'count / 2^Hello.bits = R / (R + pull-up); Hello.ntc...',
};
const PHASE = { unit: 'V', scale: 'count * Hello.phasePerCount_V' };
const CURRENT = { unit: 'A', scale: '(count - Hello.currentZero_counts) * Hello.currentPerCount_A' };

export const SENSE = frame({
  name: 'Sense',
  id: 0x10,
  from: 'host',
  doc: 'What the pins of the board would read at the sampling instant before one update point.',
  fields: {
    tick: u32({
      doc: 'number of the update point since the run began, one or two a PWM period (Hello.updates), wraps at 2^32; the virtual clock of the board',
    }),
    flags: u16({
      doc: 'logic levels',
      bits: [
        { name: 'SENSE_BOOT', doc: 'first tick after the logic supply came up: forget everything' },
        { name: 'SENSE_IN', doc: 'direction switch at In (screw goes in)' },
        { name: 'SENSE_OUT', doc: 'direction switch at Out; neither In nor Out: switch locked' },
        { name: 'SENSE_HALL_A', doc: 'Hall sensor A: 1 while cos(electrical angle) > 0' },
        { name: 'SENSE_HALL_B', doc: 'Hall sensor B: the same, 120 degrees later' },
        { name: 'SENSE_HALL_C', doc: 'Hall sensor C: the same, 240 degrees later' },
      ],
    }),
    ia: u16({ ...CURRENT, doc: 'shunt of leg A, positive into the motor; 0xFFFF when not fitted' }),
    ib: u16({ ...CURRENT, doc: 'shunt of leg B, positive into the motor; 0xFFFF when not fitted' }),
    ic: u16({ ...CURRENT, doc: 'shunt of leg C, positive into the motor; 0xFFFF when not fitted' }),
    link: u16({ unit: 'V', scale: 'count * Hello.linkPerCount_V', doc: 'DC link voltage' }),
    trigger: u16({
      unit: 'travel',
      scale: '0 at Hello.triggerLow_counts, 1 at Hello.triggerHigh_counts',
      doc: 'trigger potentiometer',
    }),
    hallAge: u16({
      unit: 's',
      scale: HALL_AGE_COUNT_S,
      doc: 'time from the last Hall edge to the sampling instant; 0xFFFF: that or longer',
    }),
    heatBridge: u16({ ...RATIO, doc: 'thermistor at the switches; 0xFFFF when not fitted' }),
    heatMotor: u16({ ...RATIO, doc: 'thermistor in the winding; 0xFFFF when not fitted' }),
    phaseA: u16({ ...PHASE, doc: 'terminal A behind divider and filter; 0xFFFF when not fitted' }),
    phaseB: u16({ ...PHASE, doc: 'terminal B behind divider and filter; 0xFFFF when not fitted' }),
    phaseC: u16({ ...PHASE, doc: 'terminal C behind divider and filter; 0xFFFF when not fitted' }),
    gyro: u16({
      unit: 'rad/s',
      scale: '(count - Hello.currentZero_counts) * Hello.gyroPerCount_rad_s',
      doc: 'rate of the housing about the spindle, positive as a screw goes in; 0xFFFF when not fitted',
    }),
    accel: u16({
      unit: 'm/s2',
      scale: '(count - Hello.currentZero_counts) * Hello.accelPerCount_m_s2',
      doc: 'acceleration of the housing along the tangent, gravity included; 0xFFFF when not fitted',
    }),
  },
});

export const DRIVE = frame({
  name: 'Drive',
  id: 0x20,
  from: 'board',
  doc: 'What the timer of the board would be loaded with; one per Sense, in force from the next update point on.',
  fields: {
    tick: u32({ doc: 'tick of the Sense frame that this one answers' }),
    gates: u8({
      doc: 'legs that are driven, complementary: duty 0 is low all period, 32768 high all period; a leg that is not driven has both switches off',
      bits: [
        { name: 'GATE_A', doc: 'leg A is driven' },
        { name: 'GATE_B', doc: 'leg B is driven' },
        { name: 'GATE_C', doc: 'leg C is driven' },
      ],
    }),
    ...STATUS,
    reserved: pad(1),
    dutyA: u16({ unit: 'period', scale: 1 / DUTY_FULL, doc: 'high side of leg A; larger than 32768 is clamped' }),
    dutyB: u16({ unit: 'period', scale: 1 / DUTY_FULL, doc: 'high side of leg B; larger than 32768 is clamped' }),
    dutyC: u16({ unit: 'period', scale: 1 / DUTY_FULL, doc: 'high side of leg C; larger than 32768 is clamped' }),
    busy: u16({ unit: 's', scale: BUSY_COUNT_S, doc: 'time the processor spent on this tick, 0 when not measured' }),
    watch: f32s(WATCH_MOST, { doc: 'values named in Hello.watch, in that order and in the units given there' }),
  },
});

/** Frames of fixed layout, in the order of the documents. */
export const FRAMES: readonly Frame[] = [GREET, WELCOME, REFUSE, SENSE, DRIVE, POWER, SCENE, REPORT, NOTE, BEAT, BYE];

export interface Sense extends ValuesOf<typeof SENSE> {}
export interface Drive extends ValuesOf<typeof DRIVE> {}

export const SENSE_BOOT = maskOf(SENSE, 'SENSE_BOOT');
export const SENSE_IN = maskOf(SENSE, 'SENSE_IN');
export const SENSE_OUT = maskOf(SENSE, 'SENSE_OUT');
export const SENSE_HALL_A = maskOf(SENSE, 'SENSE_HALL_A');
export const SENSE_HALL_B = maskOf(SENSE, 'SENSE_HALL_B');
export const SENSE_HALL_C = maskOf(SENSE, 'SENSE_HALL_C');
/** Right shift that brings the Hall bits of `flags` to A + 2 B + 4 C. */
export const SENSE_HALL_SHIFT = 3;

export const GATE_A = maskOf(DRIVE, 'GATE_A');
export const GATE_B = maskOf(DRIVE, 'GATE_B');
export const GATE_C = maskOf(DRIVE, 'GATE_C');
export const GATE_ALL = GATE_A | GATE_B | GATE_C;

export const STATE_STARTING = codeOf(DRIVE, 'STATE_STARTING');
export const STATE_READY = codeOf(DRIVE, 'STATE_READY');
export const STATE_RUNNING = codeOf(DRIVE, 'STATE_RUNNING');
export const STATE_COASTING = codeOf(DRIVE, 'STATE_COASTING');
export const STATE_STALLED = codeOf(DRIVE, 'STATE_STALLED');
export const STATE_WAITING = codeOf(DRIVE, 'STATE_WAITING');
export const STATE_TRIPPED = codeOf(DRIVE, 'STATE_TRIPPED');
export const STATE_BRAKING = codeOf(DRIVE, 'STATE_BRAKING');

export const TRIP_NONE = codeOf(DRIVE, 'TRIP_NONE');
export const TRIP_CURRENT = codeOf(DRIVE, 'TRIP_CURRENT');
export const TRIP_LINK_HIGH = codeOf(DRIVE, 'TRIP_LINK_HIGH');
export const TRIP_LINK_LOW = codeOf(DRIVE, 'TRIP_LINK_LOW');
export const TRIP_HALL = codeOf(DRIVE, 'TRIP_HALL');
export const TRIP_SENSOR = codeOf(DRIVE, 'TRIP_SENSOR');
export const TRIP_LOCK = codeOf(DRIVE, 'TRIP_LOCK');
export const TRIP_STALL = codeOf(DRIVE, 'TRIP_STALL');
export const TRIP_HEAT = codeOf(DRIVE, 'TRIP_HEAT');
export const TRIP_SPEED = codeOf(DRIVE, 'TRIP_SPEED');
