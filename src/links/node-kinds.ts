/** The kinds of link that a command line in Node can name, each once: how it is written, checked and opened. Runs in Node. */
import { REFUSE_MISFIT } from '../protocol/frames.ts';
import { SetUpError } from './errors.ts';
import type { LinkTimes, LockStepLink } from './link.ts';
import { openSerialWire, parseSerialPlace, SERIAL_FORM } from './node-serial.ts';
import { openStdioWire } from './node-stdio.ts';
import { openTcpWire, parseTcpPlace } from './node-tcp.ts';
import { checkWsAddress, listenPort, openWsListener, openWsWire } from './node-ws.ts';
import { lockStepProblem } from './round-trip.ts';
import { openSession } from './session.ts';
import type { Wire } from './wire.ts';

export interface LinkKind {
  /** How it is written, e.g. tcp:HOST:PORT. */ readonly form: string;
  /** Throws SetUpError that says what is allowed. */
  check(what: string): void;
  /** Rejects with SetUpError when it cannot be opened. */
  open(what: string): Promise<Wire>;
  /** Said instead of the loss, when the opening shows afterwards that the set-up was wrong. */
  afterLoss?(wire: Wire): SetUpError | undefined;
}

export const LINK_KINDS: Readonly<Record<string, LinkKind>> = Object.freeze({
  exec: {
    form: 'exec:CMD',
    check(what) {
      if (what.trim() === '') throw new SetUpError('the command is missing; write it as exec:./my-controller');
    },
    open: async (what) => openStdioWire(what),
    afterLoss: (wire) => (wire as ReturnType<typeof openStdioWire>).refusal(),
  },
  tcp: {
    form: 'tcp:HOST:PORT',
    check: (what) => void parseTcpPlace(what),
    open: openTcpWire,
  },
  serial: {
    form: SERIAL_FORM,
    check: (what) => void parseSerialPlace(what),
    open: (what) => openSerialWire(what),
  },
  ws: {
    form: 'ws://HOST:PORT/PATH',
    check: (what) => checkWsAddress(`ws:${what}`),
    open: (what) => openWsWire(`ws:${what}`),
  },
  wss: {
    form: 'wss://HOST:PORT/PATH',
    check: (what) => checkWsAddress(`wss:${what}`),
    open: (what) => openWsWire(`wss:${what}`),
  },
  'ws-listen': {
    form: 'ws-listen:PORT',
    check: (what) => void listenPort(what),
    open: openWsListener,
  },
});

export interface LinkPlace {
  readonly kind: string;
  readonly what: string;
}

/** Reads KIND:WHAT; undefined when the kind is none of a link. Throws SetUpError when the rest is not allowed. */
export function linkPlace(text: string): LinkPlace | undefined {
  const [, kind = '', what = ''] = /^([a-z][a-z-]*):(.*)$/s.exec(text) ?? [];
  if (!Object.hasOwn(LINK_KINDS, kind)) return undefined;
  LINK_KINDS[kind].check(what);
  return { kind, what };
}

export const linkForms = (): string =>
  Object.values(LINK_KINDS)
    .map(({ form }) => form)
    .join(', ');

/** Opens what carries the bytes. Rejects with SetUpError. */
export function openWire({ kind, what }: LinkPlace): Promise<Wire> {
  return LINK_KINDS[kind].open(what);
}

/**
 * Opens what carries the bytes and, with `over`, a link on it. Rejects with SetUpError, or LinkLostError when the board was
 * lost meanwhile.
 */
export async function openOver<L>(place: LinkPlace, over: (wire: Wire) => Promise<L>): Promise<L> {
  const wire = await openWire(place);
  try {
    return await over(wire);
  } catch (error) {
    throw LINK_KINDS[place.kind].afterLoss?.(wire) ?? error;
  }
}

/**
 * Opens a lock-step link. Rejects with SetUpError, also when its round trip is too long for lock-step, or LinkLostError when
 * no controller introduces itself.
 */
export async function openLink(place: LinkPlace, times: Partial<LinkTimes> = {}): Promise<LockStepLink> {
  const link = await openOver(place, (wire) => openSession(wire, times));
  const problem = lockStepProblem(link.roundTrip);
  if (problem === undefined) return link;
  link.refuse(REFUSE_MISFIT, 'the round trip of the link is too long for lock-step');
  await link.close();
  throw new SetUpError(`${link.name}: ${problem}`);
}
