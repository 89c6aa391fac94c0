/**
 * The one way from the page to the faults of its bench: sheet, pins, scenarios and lessons arm, fire and clear through it.
 * A bench with a real board asks twice: whoever arms there says that a person was asked.
 */
import type { FaultAsk, FaultRow, LiveFault } from '../../worker/api.ts';
import type { Session } from './session.ts';

const REFUSED =
  'A board drives. Arming a fault there asks first: its outputs may do what nobody expects. Nothing was armed.';

/** What each live fault was armed with, by its handle: a link carries it. */
const asked = new WeakMap<Session, Map<number, FaultAsk>>();
const catalogs = new WeakMap<Session, Promise<readonly FaultRow[]>>();

/** Everything that can be armed; asked for once. */
export function faultRows(session: Session): Promise<readonly FaultRow[]> {
  const known = catalogs.get(session) ?? session.api.faultRows();
  catalogs.set(session, known);
  return known;
}

/** Armed, waiting and active faults, in the order in which they were armed. */
export const liveFaults = (session: Session): readonly LiveFault[] => session.news?.faults ?? [];

/** A board stands behind a link, and with it perhaps a power stage. */
export const asksTwice = (session: Session): boolean => session.info.coupling !== 'in-process';

/**
 * Arms a fault by its id; nothing happens before it is fired. Resolves with its handle; rejects with what is wrong, in words.
 *
 * @param sure a person was asked whether the power stage is off; needed where `asksTwice`
 */
export async function armFault(session: Session, ask: FaultAsk, sure = false): Promise<number> {
  if (asksTwice(session) && !sure) throw new Error(REFUSED);
  const handle = await session.api.armFault(ask);
  asksOf(session).set(handle, ask);
  return handle;
}

/** What a live fault was armed with; undefined when the page did not arm it. */
export const askOf = (session: Session, handle: number): FaultAsk | undefined => asksOf(session).get(handle);

function asksOf(session: Session): Map<number, FaultAsk> {
  const known = asked.get(session);
  if (known) return known;
  const made = new Map<number, FaultAsk>();
  asked.set(session, made);
  session.addEventListener('driver', () => made.clear()); // handles of another bench
  return made;
}

/** Fires an armed fault. Rejects in words when its moment has passed. */
export const fireFault = (session: Session, handle: number): Promise<void> => session.api.fireFault(handle);
/** Disarms a fault, or takes it away. */
export const clearFault = (session: Session, handle: number): Promise<void> => session.api.clearFault(handle);
export const clearFaults = (session: Session): Promise<void> => session.api.clearFaults();

/** How many are armed or wait, and how many are in force: '1 fault active, 2 armed'; '' without any. */
export function faultCount(faults: readonly LiveFault[]): string {
  const active = faults.filter(({ state }) => state === 'active').length;
  const armed = faults.length - active;
  const many = (count: number) => `${count} ${count === 1 ? 'fault' : 'faults'}`;
  if (active === 0) return armed === 0 ? '' : `${many(armed)} armed`;
  return armed === 0 ? `${many(active)} active` : `${many(active)} active, ${armed} armed`;
}
