/**
 * A whole set-up as the fragment of an address: `#set-up=1.<base64url of JSON in UTF-8>` (RFC 4648 section 5, no padding). What
 * stands as it does in a fresh page is left out. The trigger is not in it: nothing turns because somebody opened a link.
 */
import { type Static, Type } from 'typebox';
import { HANDS, type HandName } from '../src/plant/hands.ts';
import { departures } from '../src/scenario/conform.ts';
import { explain, placeText } from '../src/scenario/explain.ts';
import { FAULTS_MOST } from '../src/scenario/kinds.ts';

const START = '#set-up=';
const VERSION = '1';
/** Longest fragment in an address [characters]: programs that pass addresses on cut longer ones. */
const LONGEST = 8000;
/** Longest one that a tab keeps for itself [characters]: more than the fullest set-up, as many faults and signals as there may be. */
export const LONGEST_KEPT = 100_000;
const SIGNALS_MOST = 64;
const NAME = { minLength: 1, maxLength: 60 };

const hand = (name: HandName) => {
  const { low, high, whole, doc } = HANDS[name];
  const limits = { minimum: low, maximum: high, description: doc };
  return Type.Optional(whole ? Type.Integer(limits) : Type.Number(limits));
};
const closed = { additionalProperties: false };
const time = Type.Number({ minimum: 0, maximum: 1e9 });

const fault = Type.Object(
  {
    fault: Type.String(NAME),
    size: Type.Optional(Type.Number()),
    leg: Type.Optional(Type.Enum(['a', 'b', 'c'])),
    shape: Type.Optional(
      Type.Object(
        {
          kind: Type.Enum(['step', 'ramp', 'intermittent']),
          over_s: Type.Optional(time),
          on_s: Type.Optional(time),
          off_s: Type.Optional(time),
        },
        closed,
      ),
    ),
    when: Type.Optional(
      Type.Object(
        {
          kind: Type.Enum(['at once', 'after', 'at', 'when']),
          after_s: Type.Optional(time),
          at_s: Type.Optional(time),
          signal: Type.Optional(Type.String(NAME)),
          side: Type.Optional(Type.Enum(['above', 'below'])),
          value: Type.Optional(Type.Number()),
          held_s: Type.Optional(time),
        },
        closed,
      ),
    ),
    for_s: Type.Optional(time),
  },
  closed,
);

export const SET_UP_SCHEMA = Type.Object(
  {
    drill: Type.String({ ...NAME, description: 'name of the drill' }),
    controller: Type.String({ ...NAME, description: 'name of a built-in controller' }),
    pace: Type.Optional(Type.Number({ minimum: 1e-4, maximum: 1, description: 'virtual seconds per second' })),
    hands: Type.Optional(
      Type.Object(
        {
          direction: hand('direction'),
          gear: hand('gear'),
          meets: hand('meets'),
          grip_Nm: hand('grip'),
          clutch: hand('clutch'),
          wrist: hand('wrist'),
          push_N: hand('push'),
        },
        closed,
      ),
    ),
    faults: Type.Optional(Type.Array(fault, { maxItems: FAULTS_MOST })),
    signals: Type.Optional(Type.Array(Type.String(NAME), { maxItems: SIGNALS_MOST })),
  },
  closed,
);

export type SetUp = Static<typeof SET_UP_SCHEMA>;
export type ReadSetUp = { readonly ok: true; readonly setUp: SetUp } | { readonly ok: false; readonly why: string };

/** Throws RangeError when it is longer than a reader takes. */
export function setUpFragment(setUp: SetUp, longest = LONGEST): string {
  const bytes = new TextEncoder().encode(JSON.stringify(setUp));
  const letters = btoa(String.fromCharCode(...bytes))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replace(/=+$/, '');
  const fragment = `${START}${VERSION}.${letters}`;
  if (fragment.length <= longest) return fragment;
  throw new RangeError(`the link has ${fragment.length} characters; allowed are ${longest}: clear some of the faults`);
}

/** Says of a fragment that is no set-up what is wrong with it, and what is allowed. */
export function readSetUp(fragment: string, longest = LONGEST): ReadSetUp {
  const no = (why: string): ReadSetUp => ({ ok: false, why });
  if (!fragment.startsWith(START)) return no(`it does not begin with '${START}'`);
  if (fragment.length > longest) return no(`it has ${fragment.length} characters; allowed are ${longest}`);
  const [, version, letters] = /^([^.]*)\.(.*)$/s.exec(fragment.slice(START.length)) ?? [];
  if (version === undefined) return no(`no version; allowed is '${VERSION}.' before the set-up`);
  if (version !== VERSION) return no(`version '${version.slice(0, 20)}' is not known; allowed is ${VERSION}`);
  let content: unknown;
  try {
    const bytes = Uint8Array.from(atob(letters.replaceAll('-', '+').replaceAll('_', '/')), (c) => c.charCodeAt(0));
    content = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    return no('it was cut off or changed on its way: it cannot be decoded');
  }
  const wrong = explain(departures(SET_UP_SCHEMA as unknown as Record<string, unknown>, content));
  if (wrong.length === 0) return { ok: true, setUp: content as SetUp };
  const [{ path, text }] = wrong;
  return no(path.length === 0 ? text : `${placeText(path)}: ${text}`);
}
