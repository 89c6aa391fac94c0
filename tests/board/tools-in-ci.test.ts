/** Where changes are accepted every tool is there, so that no test steps aside unseen. */
import { expect, it } from 'vitest';
import { hasSerialport, hasSocat } from '../links/serial-pty.ts';
import { missing } from '../support/c-native.ts';

const TOOLS = ['gcc', 'g++', 'make', 'cmake', 'arm-none-eabi-gcc', 'qemu-system-arm', 'ngspice'];

it('the machine that accepts changes has every tool that a test may need', () => {
  const lacking = missing(...TOOLS);
  if (!hasSocat) lacking.push('socat');
  if (!hasSerialport) lacking.push('the package serialport');
  expect(process.env.CI === 'true' ? lacking : []).toEqual([]);
});
