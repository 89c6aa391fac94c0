/** Frames about the link itself: who is there, who may go on, is it alive, it ends. */
import { codeOf, frame, maskOf, pad, text, u8, u16, u32, type ValuesOf } from './dsl.ts';
import { CREDITS_MOST, TEXT_MOST } from './limits.ts';

/** Id of Hello, the one frame that is a MessagePack map (hello.ts). */
export const HELLO_ID = 0x02;

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

export const WELCOME = frame({
  name: 'Welcome',
  id: 0x03,
  from: 'host',
  doc: 'The Hello was read and fits: what follows, and at which pace. Asks for no answer.',
  fields: {
    version: u16({ doc: 'protocol version of the host' }),
    coupling: u8({
      doc: 'how the board is tied to the drill',
      codes: [
        { name: 'COUPLING_LOCK_STEP', value: 1, doc: 'the drill waits for the Drive to each Sense' },
        {
          name: 'COUPLING_RATE_SPLIT',
          value: 2,
          doc: 'Scene and Report in wall time; the board closes its fast loops',
        },
        { name: 'COUPLING_EXAMINE', value: 3, doc: 'no drill: frames of an examination or a bring-up follow' },
      ],
    }),
    credits: u8({ doc: `frames that the drill may have unanswered, 1 to ${CREDITS_MOST}; 1 in lock-step` }),
    tick: u32({ unit: 's', scale: 1e-9, doc: 'virtual time from one Sense or Scene to the next' }),
    patience: u16({ unit: 's', scale: 1e-3, doc: 'wall time after which an answer is given up' }),
    reserved: pad(2),
  },
});

export const REFUSE = frame({
  name: 'Refuse',
  id: 0x04,
  from: 'host',
  doc: 'The Hello was read and cannot be used; nothing else follows until the next Greet.',
  fields: {
    version: u16({ doc: 'protocol version of the host' }),
    reason: u8({
      doc: 'why',
      codes: [
        { name: 'REFUSE_VERSION', value: 1, doc: 'the host speaks another version' },
        { name: 'REFUSE_HELLO', value: 2, doc: 'the Hello does not follow its schema' },
        { name: 'REFUSE_MISFIT', value: 3, doc: 'the board does not fit the drill' },
        { name: 'REFUSE_BUSY', value: 4, doc: 'the drill is in use' },
      ],
    }),
    reserved: pad(1),
    text: text(TEXT_MOST, { doc: 'the reason in words, English' }),
  },
});

export const POWER = frame({
  name: 'Power',
  id: 0x11,
  from: 'host',
  doc: 'The logic supply comes or goes, with the contact of the trigger or a brown-out. Asks for no answer.',
  fields: {
    tick: u32({ doc: 'tick at which it happens' }),
    levels: u8({
      doc: 'supply; without it no Sense comes, and the board does as if it were off',
      bits: [{ name: 'POWER_ON', doc: 'the supply is up: the Sense that follows carries SENSE_BOOT' }],
    }),
    reserved: pad(3),
  },
});

export const NOTE = frame({
  name: 'Note',
  id: 0x21,
  from: 'board',
  doc: 'Text for the person at the drill; at any time, never instead of an answer.',
  fields: {
    level: u8({
      doc: 'how urgent it is',
      codes: [
        { name: 'NOTE_PLAIN', value: 0, doc: 'for the record' },
        { name: 'NOTE_WARNING', value: 1, doc: 'something is not as it should be' },
        { name: 'NOTE_FAILURE', value: 2, doc: 'the board cannot do its work' },
      ],
    }),
    text: text(TEXT_MOST, { doc: 'one line, UTF-8; control characters are not shown' }),
  },
});

export const BEAT = frame({
  name: 'Beat',
  id: 0x05,
  from: 'either',
  doc: 'Sign of life while nothing else is sent. Whoever gets one that asks sends it back with the same number.',
  fields: {
    number: u16({ doc: 'counts up, wraps; the answer repeats it' }),
    levels: u8({ doc: 'kind', bits: [{ name: 'BEAT_ANSWER', doc: 'this is the answer to a Beat' }] }),
    reserved: pad(1),
    clock: u32({ unit: 's', scale: 1e-6, doc: 'clock of the sender, wraps; 0 when it has none' }),
  },
});

export const BYE = frame({
  name: 'Bye',
  id: 0x06,
  from: 'either',
  doc: 'The sender ends the link. A board opens all legs and waits for the next Greet.',
  fields: {
    reason: u8({
      doc: 'why',
      codes: [
        { name: 'BYE_DONE', value: 0, doc: 'the run is over, or the board is switched off' },
        { name: 'BYE_FAULT', value: 1, doc: 'the sender cannot go on' },
        { name: 'BYE_RESTART', value: 2, doc: 'the sender starts anew' },
      ],
    }),
    reserved: pad(3),
  },
});

export interface Greet extends ValuesOf<typeof GREET> {}
export interface Welcome extends ValuesOf<typeof WELCOME> {}
export interface Refuse extends ValuesOf<typeof REFUSE> {}
export interface Power extends ValuesOf<typeof POWER> {}
export interface Note extends ValuesOf<typeof NOTE> {}
export interface Beat extends ValuesOf<typeof BEAT> {}
export interface Bye extends ValuesOf<typeof BYE> {}

export const COUPLING_LOCK_STEP = codeOf(WELCOME, 'COUPLING_LOCK_STEP');
export const COUPLING_RATE_SPLIT = codeOf(WELCOME, 'COUPLING_RATE_SPLIT');
export const COUPLING_EXAMINE = codeOf(WELCOME, 'COUPLING_EXAMINE');
export const REFUSE_VERSION = codeOf(REFUSE, 'REFUSE_VERSION');
export const REFUSE_HELLO = codeOf(REFUSE, 'REFUSE_HELLO');
export const REFUSE_MISFIT = codeOf(REFUSE, 'REFUSE_MISFIT');
export const REFUSE_BUSY = codeOf(REFUSE, 'REFUSE_BUSY');
export const POWER_ON = maskOf(POWER, 'POWER_ON');
export const NOTE_PLAIN = codeOf(NOTE, 'NOTE_PLAIN');
export const NOTE_WARNING = codeOf(NOTE, 'NOTE_WARNING');
export const NOTE_FAILURE = codeOf(NOTE, 'NOTE_FAILURE');
export const BEAT_ANSWER = maskOf(BEAT, 'BEAT_ANSWER');
export const BYE_DONE = codeOf(BYE, 'BYE_DONE');
export const BYE_FAULT = codeOf(BYE, 'BYE_FAULT');
export const BYE_RESTART = codeOf(BYE, 'BYE_RESTART');
