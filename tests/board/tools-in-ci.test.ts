/** Where changes are accepted every tool is there, so that no test steps aside unseen. */
import { spawnSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { hasSerialport, hasSocat } from '../links/serial-pty.ts';

const TOOLS = ['gcc', 'g++', 'make', 'cmake', 'arm-none-eabi-gcc', 'qemu-system-arm', 'ngspice'];

it('the machine that accepts changes has every tool that a test may need', () => {
  const lacking = TOOLS.filter((tool) => spawnSync(tool, ['--version']).error !== undefined);
  if (!hasSocat) lacking.push('socat');
  if (!hasSerialport) lacking.push('the package serialport');
  expect(process.env.CI === 'true' ? lacking : []).toEqual([]);
});
