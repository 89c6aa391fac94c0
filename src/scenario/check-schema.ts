/** The schema of a check, made from what each kind declares: its descriptions are the manual of the checks. */
import { type TSchema, Type } from 'typebox';
import { SIGNALS } from '../signals.ts';
import { CHECK_KINDS, TAKES } from './checks/index.ts';
import { STATUS_CODES } from './checks/status.ts';
import { FAULTS_MOST } from './kinds.ts';
import { keysOf, PARTS } from './read-check.ts';
import { REQUIREMENT, REQUIREMENT_LONGEST, REQUIREMENTS_MOST } from './requirements.ts';

const amount = (description: string): TSchema => Type.Union([Type.String(), Type.Number()], { description });

export const requirements = Type.Array(
  Type.String({
    pattern: REQUIREMENT,
    maxLength: REQUIREMENT_LONGEST,
    description: 'an id: letters, digits, dots and dashes, up to 60',
  }),
  {
    maxItems: REQUIREMENTS_MOST,
    description: 'ids of the requirements that this stands for; they are carried into every result',
  },
);

const takesText = CHECK_KINDS.flatMap(({ takes }) =>
  Object.entries(takes).map(([take, doc]) => `${take}: ${doc}`),
).join('; ');

const status = (key: keyof typeof STATUS_CODES, doc: string): TSchema => {
  const names = Object.keys(STATUS_CODES[key].codes);
  const named = Type.Enum(names);
  const own = Type.Integer({ minimum: 128, maximum: 255 });
  return key === 'gates'
    ? Type.Enum(names, { description: doc })
    : Type.Union([named, own], { description: `${doc}, by name; 128 to 255 are the own codes of a board` });
};

/** @param moment schema of a time in the run */
export function checkSchema(moment: (doc: string) => TSchema): TSchema {
  return Type.Object(
    {
      name: Type.String({ minLength: 1, maxLength: 120, description: 'what is true when the check passes' }),
      signal: Type.Optional(
        Type.Enum(
          SIGNALS.map(({ id }) => id),
          { description: 'signal that is looked at; state, trip and gates name it themselves' },
        ),
      ),
      take: Type.Optional(
        Type.Enum([...TAKES], {
          description: `which number of the window counts; last in files of format 1 that name none. ${takesText}`,
        }),
      ),
      from: Type.Optional(moment('start of the window, the start of the run (or of the fault) when left out')),
      to: Type.Optional(moment('end of the window, the end of the run when left out')),
      'after fault': Type.Optional(
        Type.Integer({
          minimum: 1,
          maximum: FAULTS_MOST,
          description: 'number of a fault, in the order of faults: from and to count from its beginning',
        }),
      ),
      against: Type.Optional(
        Type.Enum(['twin'], { description: 'twin: the number less that of the run without faults, same seed' }),
      ),
      above: Type.Optional(amount('the signal is above this value')),
      below: Type.Optional(amount('the signal is below this value; with above: between the two')),
      state: Type.Optional(status('state', 'state that the controller reports')),
      trip: Type.Optional(status('trip', 'reason of a trip that the controller reports')),
      gates: Type.Optional(status('gates', 'open: no leg is driven')),
      through: Type.Optional(amount('value whose crossings are counted')),
      play: Type.Optional(
        amount('of through: width of the band that has to be left on the other side, 0 when left out'),
      ),
      of: Type.Optional(
        Type.Enum([...PARTS], { description: 'of an integral: which part of the signal, the value when left out' }),
      ),
      order: Type.Optional(
        Type.Number({
          minimum: 0.1,
          maximum: 100,
          description: 'multiple of the electrical frequency: 1 offset, 2 unequal gains, 6 dead time',
        }),
      ),
      'at least': Type.Optional(
        amount('limit in a unit of the number, such as 58 mm, 5 ms, 2 A²·s; a plain number for a count'),
      ),
      'at most': Type.Optional(amount('limit in a unit of the number')),
      requirements: Type.Optional(requirements),
    },
    {
      additionalProperties: false,
      description: 'a number of the run, with at least one limit; most numbers are those of a signal',
      // Which keys go with which number; the loader says it in words.
      allOf: CHECK_KINDS.map((kind) => ({
        if: { properties: { take: { enum: Object.keys(kind.takes) } }, required: ['take'] },
        // biome-ignore lint/suspicious/noThenProperty: a keyword of JSON Schema
        then: {
          propertyNames: { enum: keysOf(kind) },
          allOf: kind.needs.map((keys) => ({ anyOf: keys.map((key) => ({ required: [key] })) })),
          ...(kind.fromFault ? { required: ['after fault'] } : {}),
        },
      })),
    },
  );
}
