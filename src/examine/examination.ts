/** What an examination is, and what it gives. */
import type { Subject } from './subject.ts';

export type Verdict = 'holds' | 'mend' | 'warning' | 'not examined';

export interface Finding {
  readonly verdict: Verdict;
  /** What was seen, one sentence or a few. */ readonly saw: string;
}

export interface Examination {
  /** Short name, unique; how reports and scripts call it. */ readonly id: string;
  readonly title: string;
  readonly does: string;
  readonly expects: string;
  /** What happens on real links when it does not hold. */ readonly matters: string;
  /** How to mend it, with the functions and pages of the board kit. */ readonly mend: string;
  /** May throw Broken, which is a `mend` with that message. */
  run(subject: Subject): Promise<Finding>;
}

export const holds = (saw: string): Finding => ({ verdict: 'holds', saw });
export const toMend = (saw: string): Finding => ({ verdict: 'mend', saw });
export const warning = (saw: string): Finding => ({ verdict: 'warning', saw });
export const notExamined = (saw: string): Finding => ({ verdict: 'not examined', saw });

/** `mend` when there is anything to say, with the first few of it; else `holds`. */
export function judged(faults: readonly string[], saw: string): Finding {
  if (faults.length === 0) return holds(saw);
  const more = faults.length > FAULTS_SHOWN ? `; and ${faults.length - FAULTS_SHOWN} more` : '';
  return toMend(`${faults.slice(0, FAULTS_SHOWN).join('; ')}${more}`);
}
const FAULTS_SHOWN = 3;
