/**
 * Every byte that crosses a link is declared here and in hello-fields.ts, and nowhere else. The codec, the C header
 * src/board/phantom_link.h and the frame tables in DEVELOPERS.md are made from these declarations (npm run protocol).
 *
 * Rules: append fields, never reorder; a changed meaning takes a new id; ids are never used twice.
 * Numbers travel little-endian, without gaps. Scales "of the board" are those of its description, src/sensing/board.ts;
 * Hello does not carry them back.
 */
import { codeOf, f32s, frame, maskOf, pad, u8, u16, u32, type ValuesOf } from './dsl.ts';

/** Version that Greet and Hello carry; raised when an older board could misread a frame. */
export const PROTOCOL_VERSION = 2;
/** Most watch values that a Drive frame carries. */
export const WATCH_MOST = 32;
/** Reading of a sensor that the board does not have. */
export const NOT_FITTED = 0xffff;
/** Hall age that means "this long or longer". */
export const HALL_AGE_MOST = 0xffff;
/** Time of one count of `hallAge` [s]. */
export const HALL_AGE_COUNT_S = 1e-8;
/** Duty count of a high side that is on all period. */
export const DUTY_FULL = 32768;
/** Time of one count of `busy` [s]. */
export const BUSY_COUNT_S = 1e-7;

const RATIO = {
  unit: 'share of the reference',
  scale: 'count / full scale = R / (R + pull-up); parts ntc... of the board',
};
const PHASE = { unit: 'V', scale: 'count, times reference_V / 2^bits * phaseDivider of the board' };
const CURRENT = { unit: 'A', scale: '(count - Hello.currentZero_counts) * Hello.currentPerCount_A' };

export const SENSE = frame({
  name: 'Sense',
  id: 0x10,
  from: 'host',
  doc: 'What the pins of the board would read at the sampling instant of one PWM period.',
  fields: {
    tick: u32({ doc: 'number of the PWM period since the run began, wraps at 2^32; the virtual clock of the board' }),
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
      scale: '(count - Hello.currentZero_counts) * gyroPerCount_rad_s of the board',
      doc: 'rate of the housing about the spindle, positive as a screw goes in; 0xFFFF when not fitted',
    }),
    accel: u16({
      unit: 'm/s2',
      scale: '(count - Hello.currentZero_counts) * accelPerCount_m_s2 of the board',
      doc: 'acceleration of the housing along the tangent, gravity included; 0xFFFF when not fitted',
    }),
  },
});

export const DRIVE = frame({
  name: 'Drive',
  id: 0x20,
  from: 'board',
  doc: 'What the timer of the board would be loaded with; one per Sense, in force from the next PWM period on.',
  fields: {
    tick: u32({ doc: 'tick of the Sense frame that this one answers' }),
    gates: u8({
      doc: 'legs that are driven (complementary); a leg that is not driven has both switches off',
      bits: [
        { name: 'GATE_A', doc: 'leg A is driven' },
        { name: 'GATE_B', doc: 'leg B is driven' },
        { name: 'GATE_C', doc: 'leg C is driven' },
      ],
    }),
    state: u8({
      doc: 'what the board is doing; 128 to 255 are the own codes of a board',
      codes: [
        { name: 'STATE_STARTING', value: 0, doc: 'measures its offsets, gates off' },
        { name: 'STATE_READY', value: 1, doc: 'waits for the trigger, gates off' },
        { name: 'STATE_RUNNING', value: 2, doc: 'drives the motor' },
        { name: 'STATE_COASTING', value: 3, doc: 'gates off until the motor is slow enough' },
        { name: 'STATE_STALLED', value: 4, doc: 'has seen a stall and has cut or lowered the torque' },
        { name: 'STATE_WAITING', value: 5, doc: 'gates off until supply or sensors are healthy again' },
        { name: 'STATE_TRIPPED', value: 6, doc: 'a protection holds the gates off; see trip' },
        { name: 'STATE_BRAKING', value: 7, doc: 'brakes the motor' },
      ],
    }),
    trip: u8({
      doc: 'why a protection acted; 128 to 255 are the own codes of a board',
      codes: [
        { name: 'TRIP_NONE', value: 0, doc: 'nothing tripped' },
        { name: 'TRIP_CURRENT', value: 1, doc: 'phase current above its limit' },
        { name: 'TRIP_LINK_HIGH', value: 2, doc: 'link voltage above its limit' },
        { name: 'TRIP_LINK_LOW', value: 3, doc: 'link voltage below its limit' },
        { name: 'TRIP_HALL', value: 4, doc: 'Hall code that cannot be' },
        { name: 'TRIP_SENSOR', value: 5, doc: 'offset or reading of a converter channel out of range' },
        { name: 'TRIP_LOCK', value: 6, doc: 'angle estimate lost' },
        { name: 'TRIP_STALL', value: 7, doc: 'stalled for too long' },
        { name: 'TRIP_HEAT', value: 8, doc: 'winding or power stage too hot' },
        { name: 'TRIP_SPEED', value: 9, doc: 'speed above its limit' },
      ],
    }),
    reserved: pad(1),
    dutyA: u16({ unit: 'period', scale: 1 / DUTY_FULL, doc: 'high side of leg A; larger than 32768 is clamped' }),
    dutyB: u16({ unit: 'period', scale: 1 / DUTY_FULL, doc: 'high side of leg B; larger than 32768 is clamped' }),
    dutyC: u16({ unit: 'period', scale: 1 / DUTY_FULL, doc: 'high side of leg C; larger than 32768 is clamped' }),
    busy: u16({ unit: 's', scale: BUSY_COUNT_S, doc: 'time the processor spent on this tick, 0 when not measured' }),
    watch: f32s(WATCH_MOST, { doc: 'values named in Hello.watch, in that order and in the units given there' }),
  },
});

export const GREET = frame({
  name: 'Greet',
  id: 0x01,
  from: 'host',
  doc: 'Asks the board to say Hello.',
  fields: {
    version: u16({ doc: 'protocol version of the host' }),
    reserved: pad(2),
  },
});

/** Id of Hello, the one frame that is a MessagePack map (hello-fields.ts). */
export const HELLO_ID = 0x02;

/** Frames of fixed layout, in the order of the documents. */
export const FRAMES = [GREET, SENSE, DRIVE] as const;

export interface Sense extends ValuesOf<typeof SENSE> {}
export interface Drive extends ValuesOf<typeof DRIVE> {}
export interface Greet extends ValuesOf<typeof GREET> {}

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
