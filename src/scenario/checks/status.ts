/** States, trips and gates by name, as the frames of the protocol declare them. */
import { STATUS } from '../../protocol/status-fields.ts';
import type { SignalId } from '../../signals.ts';

/** 'STATE_LINK_HIGH' reads 'link high'. */
const named = (codes: readonly { readonly name: string; readonly value: number }[] = []): Record<string, number> =>
  Object.fromEntries(
    codes.map(({ name, value }) => [
      name
        .replace(/^[A-Z]+_/, '')
        .toLowerCase()
        .replaceAll('_', ' '),
      value,
    ]),
  );

export type StatusKey = 'state' | 'trip' | 'gates';

/** Signal and codes of each key of a check that names a condition of the controller. */
export const STATUS_CODES: Readonly<
  Record<StatusKey, { readonly signal: SignalId; readonly codes: Record<string, number> }>
> = {
  state: { signal: 'controllerState', codes: named(STATUS.state.codes) },
  trip: { signal: 'tripReason', codes: named(STATUS.trip.codes) },
  gates: { signal: 'gates', codes: { open: 0, 'all driven': 7 } },
};

export const STATUS_KEYS = Object.keys(STATUS_CODES) as StatusKey[];

/** A code for people: its name where it has one. */
export function codeText(signal: SignalId, value: number): string {
  const row = Object.values(STATUS_CODES).find((each) => each.signal === signal);
  const [name] = Object.entries(row?.codes ?? {}).find(([, code]) => code === value) ?? [];
  return name === undefined ? String(value) : `'${name}'`;
}
