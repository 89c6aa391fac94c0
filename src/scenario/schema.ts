/**
 * The published JSON Schema of a scenario. Editors read the copy in scenario.schema.json, which is made from this
 * file (`npm run sim -- schema`); the loader checks with the same object.
 *
 * Units are part of the text of a value, so that a range cannot be said in JSON Schema: it stands in the description,
 * and the loader checks it.
 */
import { type TSchema, Type } from 'typebox';
import { FAULTS } from '../faults/catalogue.ts';
import { HANDS } from '../plant/hands.ts';
import { presetNames } from '../plant/presets/index.ts';
import { SIGNALS } from '../signals.ts';
import { checkSchema, requirements } from './check-schema.ts';
import { INCLUDED_MOST, JOINED_LISTS } from './include.ts';
import { CHECKS_MOST, FAULTS_MOST, KINDS, type KindName, SEED_MOST, TIMELINE_MOST } from './kinds.ts';
import { FORMAT } from './migrate.ts';
import { quantityPattern, rangeText } from './quantity.ts';

export const DIRECTIONS = ['in', 'locked', 'out'] as const;
export const MEETS = ['nothing', 'screw', 'stop', 'wood', 'steel', 'joint'] as const;
export const SHUNTS = ['abc', 'ab', 'bc', 'ac'] as const;

/** Schema keyword that carries the kind of a quantity to the loader; editors ignore it. */
export const KIND_KEYWORD = 'x-quantity';

function quantity(kind: KindName, doc: string): TSchema {
  const { units } = KINDS[kind];
  const range = rangeText(KINDS[kind]);
  const description = `${doc}; ${range}, in ${units.join(', ')}`;
  return Type.String({ pattern: quantityPattern(units), description, [KIND_KEYWORD]: kind });
}

const direction = Type.Enum([...DIRECTIONS], { description: 'direction switch: in, locked or out' });
const gear = Type.Enum([0, 1, 2], { description: 'gear: 0 neutral, 1 low, 2 high' });
const meets = Type.Enum([...MEETS], { description: 'what the chuck meets' });
const grip = quantity('grip', 'largest torque of a hand that grips the chuck');

/** What hands set at once, before the run and at any moment of it. */
const hands = {
  meets: Type.Optional(meets),
  grip: Type.Optional(grip),
  gear: Type.Optional(gear),
  direction: Type.Optional(direction),
  clutch: Type.Optional(
    Type.Integer({ minimum: 0, maximum: HANDS.clutch.high, description: 'clutch setting, 0 locked' }),
  ),
  push: Type.Optional(quantity('push', 'force with which the bit is pushed to the work')),
  wrist: Type.Optional(quantity('wrist', 'firmness of the hand on the tool, 0 % for a vice')),
  span: Type.Optional(quantity('span', 'turn of the test joint from 10 to 100 % of its torque')),
  ambient: Type.Optional(quantity('ambient', 'temperature of the air')),
};

const entry = Type.Object(
  {
    at: quantity('moment', 'when it happens, from the start of the run'),
    trigger: Type.Optional(quantity('trigger', 'trigger travel')),
    over: Type.Optional(quantity('ramp', 'time the trigger takes to get there, at once when left out')),
    ...hands,
  },
  { additionalProperties: false, description: 'one moment of the run; what is not named stays as it was' },
);

const amount = (doc: string) => Type.Union([Type.String(), Type.Number()], { description: doc });

const when = Type.Object(
  {
    signal: Type.Enum(
      SIGNALS.map(({ id }) => id),
      { description: 'signal that is watched' },
    ),
    above: Type.Optional(amount('begins above this value, with a unit of the signal')),
    below: Type.Optional(amount('begins below this value, with a unit of the signal')),
    from: Type.Optional(quantity('moment', 'not before this moment')),
    held: Type.Optional(quantity('held', 'only when it was so for this long')),
  },
  { additionalProperties: false, description: 'condition that begins a fault, with above or below' },
);

const intermittent = Type.Object(
  {
    on: quantity('stay', 'mean time that it stays'),
    off: quantity('stay', 'mean time between'),
  },
  {
    additionalProperties: false,
    description: 'comes and goes; each time is drawn between half and one and a half of its mean',
  },
);

const fault = Type.Object(
  {
    fault: Type.Enum(Object.keys(FAULTS), { description: 'fault of the catalogue' }),
    leg: Type.Optional(Type.Enum(['a', 'b', 'c'], { description: 'which of the three legs, phases or sensors' })),
    size: Type.Optional(amount('how large, with a unit of the fault; the usual size when left out')),
    at: Type.Optional(quantity('moment', 'when it begins')),
    when: Type.Optional(when),
    ramp: Type.Optional(quantity('ramp', 'time that it takes to its size, at once when left out')),
    intermittent: Type.Optional(intermittent),
    for: Type.Optional(quantity('stay', 'time after which it ends; stays when left out')),
  },
  { additionalProperties: false, description: 'a fault that is injected, with at or when' },
);

const chuck = Type.Object(
  {
    ...hands,
    depth: Type.Optional(quantity('depth', 'how deep screw or bit already is')),
  },
  { additionalProperties: false, description: 'how the drill stands before the run' },
);

const board = Type.Object(
  { shunts: Type.Optional(Type.Enum([...SHUNTS], { description: 'legs that have a shunt' })) },
  { additionalProperties: false, description: 'what differs from the usual board of the drill' },
);

const start = Type.Object(
  {
    'rotor angle': Type.Optional(quantity('angle', 'electrical angle of the rotor; drawn from the seed when left out')),
    charge: Type.Optional(quantity('charge', 'state of charge of the pack')),
    temperature: Type.Optional(
      quantity('ambient', 'temperature of everything, air and cells included; ambient of chuck alone changes the air'),
    ),
  },
  {
    additionalProperties: false,
    description: 'state of the drill before anything is done, that of the preset when left out',
  },
);

const number = Type.Union([Type.String(), Type.Number()]);
const numbers = Type.Union([Type.String(), Type.Number(), Type.Array(number, { maxItems: 40 })]);
const set = Type.Object(
  {},
  {
    additionalProperties: Type.Union([
      Type.String(),
      Type.Number(),
      Type.Array(number, { maxItems: 40 }),
      Type.Object({}, { additionalProperties: numbers }),
    ]),
    description:
      'numbers of the drill that differ from its preset, by their declared key (npm run sim -- describe lists them) and with unit, such as winding.r_ohm: 15 mohm; the controller stays commissioned for the preset',
  },
);

const own = {
  title: Type.String({ minLength: 1, maxLength: 200, description: 'what the run shows' }),
  seed: Type.Optional(
    Type.Integer({ minimum: 0, maximum: SEED_MOST, description: 'start of the noise generator, 1 when left out' }),
  ),
  step: Type.Optional(quantity('step', 'step of the plant, 1 us when left out')),
  duration: quantity('duration', 'virtual time of the run'),
};

/** What a file that is included may say; every key may be left out. */
const shared = {
  format: Type.Optional(
    Type.Integer({ minimum: 1, description: `version of this format, 1 when left out; the newest is ${FORMAT}` }),
  ),
  include: Type.Optional(
    Type.Array(Type.String({ minLength: 1, maxLength: 200, description: 'path relative to this file, with /' }), {
      maxItems: INCLUDED_MOST,
      description: `parts from other files of the folder tree; ${JOINED_LISTS.join(', ')} of this file follow theirs, and its other values win`,
    }),
  ),
  drill: Type.Optional(Type.Enum([...presetNames()], { description: 'preset of the drill' })),
  controller: Type.Optional(
    Type.String({
      minLength: 1,
      maxLength: 60,
      description: 'built-in controller; the command line may take another',
    }),
  ),
  requirements: Type.Optional(requirements),
  set: Type.Optional(set),
  board: Type.Optional(board),
  start: Type.Optional(start),
  chuck: Type.Optional(chuck),
  timeline: Type.Optional(
    Type.Array(entry, { minItems: 1, maxItems: TIMELINE_MOST, description: 'what the user of the drill does' }),
  ),
  faults: Type.Optional(Type.Array(fault, { maxItems: FAULTS_MOST, description: 'faults that are injected' })),
  checks: Type.Optional(
    Type.Array(
      checkSchema((doc) => quantity('moment', doc)),
      { maxItems: CHECKS_MOST, description: 'what the run must show' },
    ),
  ),
};

const { format, include, drill, controller, ...rest } = shared;
const { title, seed, step, duration } = own;

export const SCENARIO_SCHEMA = Type.Object(
  { title, format, include, drill, controller, seed, step, duration, ...rest },
  {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'Scenario of the virtual drill',
    additionalProperties: false,
    allOf: [{ anyOf: [{ required: ['include'] }, { required: ['drill', 'timeline'] }] }],
  },
);

/** Keys that a scenario has together with what it includes. */
export const NEEDED = ['title', 'drill', 'duration', 'timeline'] as const;

/** What the loader holds a file to that another one includes. */
export const PRESET_SCHEMA = Type.Object(shared, { additionalProperties: false });

/** The schema as text, as scenario.schema.json holds it. */
export function schemaText(): string {
  return `${JSON.stringify(SCENARIO_SCHEMA, null, 2)}\n`;
}
