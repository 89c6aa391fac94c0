/** Every kind of check, and which kind takes which number. */
import { CHANGES, CROSSINGS, ENTRIES } from './count.ts';
import { DEVIATION } from './deviation.ts';
import { END_STATE } from './end-state.ts';
import { EVERY } from './every.ts';
import { INTEGRAL } from './integral.ts';
import type { CheckKind } from './kind.ts';
import { NUMBER } from './number.ts';
import { ORDER } from './order.ts';
import { REACH } from './reach.ts';
import { REACT } from './react.ts';
import { SETTLE } from './settle.ts';
import type { Take } from './spec.ts';
import { SPELL } from './spell.ts';

export const CHECK_KINDS: readonly CheckKind[] = Object.freeze([
  NUMBER,
  EVERY,
  REACH,
  SETTLE,
  SPELL,
  ENTRIES,
  CROSSINGS,
  CHANGES,
  INTEGRAL,
  END_STATE,
  REACT,
  ORDER,
  DEVIATION,
]);

const BY_TAKE = Object.freeze(
  Object.fromEntries(CHECK_KINDS.flatMap((kind) => Object.keys(kind.takes).map((take) => [take, kind]))),
) as Readonly<Record<Take, CheckKind>>;

export const TAKES = Object.freeze(Object.keys(BY_TAKE)) as readonly Take[];

/** The kind that takes a number. */
export const kindOf = (take: Take): CheckKind => BY_TAKE[take];
