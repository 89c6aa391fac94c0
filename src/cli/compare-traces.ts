/** What a comparison plots of a run. */
import { type Channel, ChannelTraces, signalChannel } from '../report/traces.ts';

export { type Channel, COLUMNS_MOST, type Column } from '../report/traces.ts';

/** What is plotted, from top to bottom. The angle error is no signal: it comes beside the sample. */
export const CHANNELS: readonly Channel[] = [
  signalChannel('motorSpeed', 'motor speed'),
  signalChannel('chuckSpeed', 'chuck speed'),
  signalChannel('airGapTorque', 'air-gap torque'),
  signalChannel('currentQ', 'quadrature current'),
  { id: 'angleError', title: 'angle error, estimate minus rotor', unit: 'deg el' },
  signalChannel('link', 'link voltage'),
];

export class Traces extends ChannelTraces {
  /** @param ticks of the whole run, 1 or more; ticks beyond them fall into the last column */
  constructor(ticks: number) {
    super(CHANNELS, ticks);
  }
}
