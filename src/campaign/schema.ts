/**
 * The published JSON Schema of a campaign. Editors read the copy in campaign.schema.json, which is made from this file
 * (`npm run sim -- schema campaign`); the loader checks with the same object.
 */
import { type TSchema, Type } from 'typebox';
import { SEED_MOST } from '../scenario/kinds.ts';
import { POINTS_MOST, VARIED_MOST } from './campaign.ts';

export const DRAWS = ['grid', 'random', 'hypercube'] as const;
export const SPREADS = ['even', 'bell'] as const;
/** Most values of one list, and steps of one range. */
export const LIST_MOST = 10_000;
export const PROBES_MOST = 20;
export const RUNS_MOST = 10_000;
export const STARTS_MOST = 100;

/** Begins with a letter, each further step with a letter or digit: `faults.1.size`, `checks.2.at least`. */
const PLACE = '^[A-Za-z][A-Za-z0-9 _-]*(\\.[A-Za-z0-9][A-Za-z0-9 _-]*)*$';

const amount = (doc: string) => Type.Union([Type.String(), Type.Number()], { description: doc });
const place = (doc: string) => Type.String({ pattern: PLACE, maxLength: 200, description: doc });
const count = (least: number, most: number, doc: string): TSchema =>
  Type.Integer({ minimum: least, maximum: most, description: doc });

const varied = Type.Object(
  {
    place: place('where it goes in the scenario, such as faults.1.size, timeline.2.trigger, chuck.depth, seed'),
    values: Type.Optional(
      Type.Array(Type.Union([Type.String(), Type.Number(), Type.Boolean()]), {
        minItems: 1,
        maxItems: LIST_MOST,
        description: 'values one by one, as the scenario takes them',
      }),
    ),
    from: Type.Optional(amount('smallest value with its unit, such as 2 %')),
    to: Type.Optional(amount('largest value, in the same unit')),
    steps: Type.Optional(count(2, LIST_MOST, 'values of a grid, both ends included')),
    spread: Type.Optional(
      Type.Enum([...SPREADS], { description: 'even (when left out), or bell: the normal distribution' }),
    ),
    mean: Type.Optional(amount('mean of a bell')),
    deviation: Type.Optional(amount('standard deviation of a bell')),
    whole: Type.Optional(Type.Boolean({ description: 'whole numbers only' })),
  },
  { additionalProperties: false, description: 'one value that varies: with values, or from and to, or a bell' },
);

const breaking = Type.Object(
  {
    place: place('the size that is searched'),
    from: amount('where it is expected to hold'),
    to: amount('where it is expected not to hold any more'),
    tolerance: amount('largest distance of the last size that holds and the first that does not'),
    check: Type.Optional(
      Type.String({ minLength: 1, maxLength: 120, description: 'check that flips; all count when left out' }),
    ),
    probes: Type.Optional(
      count(0, PROBES_MOST, 'sizes that are tried on each side of what was found, 3 when left out'),
    ),
    'at least': Type.Optional(amount('size that it has to bear; makes a verdict')),
  },
  { additionalProperties: false, description: 'search for the size at which a check flips, for each case of vary' },
);

const worst = Type.Object(
  {
    check: Type.Optional(
      Type.String({
        minLength: 1,
        maxLength: 120,
        description: 'check whose room is made small; all count when left out',
      }),
    ),
    runs: Type.Optional(count(1, RUNS_MOST, 'most runs of a search, 100 when left out')),
    starts: Type.Optional(count(1, STARTS_MOST, 'independent searches, 1 when left out')),
    finest: Type.Optional(
      Type.Number({
        minimum: 1e-6,
        maximum: 0.5,
        description: 'step, as a share of each range, at which it ends; 0.01',
      }),
    ),
  },
  { additionalProperties: false, description: 'search within the ranges of vary for the values with the least room' },
);

export const CAMPAIGN_SCHEMA = Type.Object(
  {
    title: Type.String({ minLength: 1, maxLength: 200, description: 'what the campaign shows' }),
    scenario: Type.String({ minLength: 1, maxLength: 400, description: 'scenario file, seen from this file' }),
    controller: Type.Optional(
      Type.String({ minLength: 1, maxLength: 60, description: 'built-in controller in place of that of the scenario' }),
    ),
    seed: Type.Optional(
      Type.Integer({ minimum: 0, maximum: SEED_MOST, description: 'start of all that is drawn, 1 when left out' }),
    ),
    draw: Type.Optional(
      Type.Enum([...DRAWS], { description: 'how points are picked: grid (every combination), random, hypercube' }),
    ),
    points: Type.Optional(count(1, POINTS_MOST, 'number of points that are drawn')),
    vary: Type.Optional(Type.Array(varied, { maxItems: VARIED_MOST, description: 'what differs from point to point' })),
    correlation: Type.Optional(
      Type.Array(Type.Array(Type.Number(), { maxItems: VARIED_MOST }), {
        maxItems: VARIED_MOST,
        description: 'matrix with a row for each value of vary; correlations of the normal draws behind the values',
      }),
    ),
    break: Type.Optional(breaking),
    worst: Type.Optional(worst),
  },
  {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'Campaign of the virtual drill',
    additionalProperties: false,
  },
);

/** The schema as text, as campaign.schema.json holds it. */
export function campaignSchemaText(): string {
  return `${JSON.stringify(CAMPAIGN_SCHEMA, null, 2)}\n`;
}
