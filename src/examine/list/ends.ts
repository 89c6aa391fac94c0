/** Examinations of the frames around a run: Welcome, Refuse, Bye. */

import { encodeBye, encodeRefuse } from '../../protocol/codec.ts';
import {
  BYE,
  BYE_DONE,
  COUPLING_LOCK_STEP,
  COUPLING_RATE_SPLIT,
  PROTOCOL_VERSION,
  REFUSE,
  REFUSE_MISFIT,
  TEXT_MOST,
} from '../../protocol/frames.ts';
import { type Examination, holds, toMend } from '../examination.ts';
import { payloadOf, type Subject } from '../subject.ts';

/** A coupling that does not exist yet. */
const COUPLING_OF_TOMORROW = 77;

export const welcome: Examination = {
  id: 'welcome',
  title: 'Welcome',
  does: 'sends Welcome for lock-step, for a coupling that the board does not offer, and for one that does not exist',
  expects: 'nothing comes back, and the Sense behind each is answered',
  matters: 'the drill says Welcome before its first Sense',
  mend: 'read Welcome or leave it, but never answer it (phantom_board keeps it); PROTOCOL.md',
  async run(subject) {
    const split = subject.hello.rateSplit ? [] : [COUPLING_RATE_SPLIT];
    for (const coupling of [COUPLING_LOCK_STEP, ...split, COUPLING_OF_TOMORROW]) {
      subject.probe.forget();
      subject.welcome(coupling);
      await subject.probe.pause(subject.terms.settle_s);
      if (subject.probe.replies.length > 0) return toMend(`a Welcome for coupling ${coupling} was answered`);
      await subject.step({}, `the Sense after a Welcome for coupling ${coupling}`);
    }
    subject.welcome();
    return holds('read or left alone, and the Sense behind it was answered');
  },
};

export const refuse: Examination = {
  id: 'refuse',
  title: 'Refuse',
  does: 'sends Refuse with the longest text that there is, then Greet',
  expects: 'nothing comes back to Refuse; Greet brings the same Hello, and the board works',
  matters: 'a board that is put on the wrong drill is refused, and greeted again with the right one',
  mend: 'take frames of up to PHANTOM_RECEIVE_MOST bytes; after Refuse wait for Greet (phantom_board does); PROTOCOL.md',
  async run(subject) {
    const frame = { version: PROTOCOL_VERSION, reason: REFUSE_MISFIT, text: 'x'.repeat(TEXT_MOST) };
    subject.probe.forget();
    subject.probe.send(subject.probe.frame(REFUSE.id, payloadOf(encodeRefuse, frame)));
    return anew(subject, 'Refuse');
  },
};

export const bye: Examination = {
  id: 'bye',
  title: 'Bye and back',
  does: 'sends Bye, then Greet and a boot',
  expects: 'nothing comes back to Bye; Greet brings the same Hello, and the board works',
  matters: 'every run ends with Bye; without a way back the board needs its reset button before the next one',
  mend: 'after Bye open all legs and wait for Greet; do not halt (phantom_board does so); PROTOCOL.md',
  async run(subject) {
    subject.probe.forget();
    subject.probe.send(subject.probe.frame(BYE.id, payloadOf(encodeBye, { reason: BYE_DONE })));
    return anew(subject, 'Bye');
  },
};

async function anew(subject: Subject, after: string) {
  const { probe, terms, hello } = subject;
  await probe.pause(terms.settle_s);
  if (probe.replies.length > 0) return toMend(`${after} was answered with ${probe.replies.length} frames`);
  const again = await subject.greet();
  if (again.hello.uid !== hello.uid) return toMend(`uid is '${again.hello.uid}' after ${after}, it was '${hello.uid}'`);
  subject.welcome();
  await subject.boot();
  return holds(`greeted after ${after}, it says the same Hello and works`);
}
