/**
 * A board with one oddity, as a program on standard input and output: node --import tsx odd-board.ts ODDITY [AFTER].
 * It answers AFTER frames properly and then shows its oddity.
 */
import { closeSync } from 'node:fs';
import { encode } from '@msgpack/msgpack';
import { ServedController } from '../../src/links/served.ts';
import { DRIVE, HELLO_ID } from '../../src/protocol/frames.ts';
import { StreamSender } from '../../src/protocol/stream.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';
import { echoController } from './echo-controller.ts';

const [oddity, after = '0'] = process.argv.slice(2);
const say = (bytes: Uint8Array): boolean => process.stdout.write(bytes.slice());
const wrap = (id: number, payload: Uint8Array): Uint8Array => new StreamSender(4096).wrapCopy(id, payload);

const echo = echoController();
let answers = 0;
let previous: Uint8Array | undefined;

function misbehave(answer: Uint8Array): void {
  if (oddity === 'dies') {
    process.stderr.write('assertion failed: rotor\n');
    process.exit(3);
  }
  if (oddity === 'hangs') return;
  if (oddity === 'restarts') board.sayHello();
  if (oddity === 'closes') closeSync(1);
  if (oddity === 'babbles') for (let k = 0; k < 20; k++) say(new Uint8Array(1000).fill(0x55));
  if (oddity === 'repeats') {
    if (previous) say(previous);
    say(answer);
  }
  if (oddity === 'damages') {
    answer[8] ^= 4;
    say(answer);
  }
  if (oddity === 'leaps') {
    const payload = new Uint8Array(DRIVE.bytes + 4);
    payload[0] = 99;
    say(wrap(DRIVE.id, payload));
  }
}

const board = new ServedController(echo, (bytes) => {
  if (bytes[2] === HELLO_ID) say(bytes);
  else if (answers++ < Number(after)) say(bytes);
  else misbehave(bytes.slice());
  if (bytes[2] === DRIVE.id) previous = bytes.slice();
});

if (oddity === 'old') say(wrap(HELLO_ID, encode({ ...HELLO_SAMPLE, version: 7 })));
else if (oddity === 'odd-hello') say(wrap(HELLO_ID, encode({ ...HELLO_SAMPLE, pwm_Hz: 'fast' })));
else if (oddity === 'silent') setInterval(() => undefined, 1000);
else board.sayHello();
process.stdin.on('data', (chunk) => {
  if (oddity !== 'silent') board.receiver.push(chunk);
});
