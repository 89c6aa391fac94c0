/** A board that is a process, known by its number, and dies after some answers: node --import tsx bridge-process.ts ANSWERS. */
import { ServedController } from '../../src/links/served.ts';
import { DRIVE } from '../../src/protocol/frames.ts';
import { echoController } from '../links/echo-controller.ts';

let left = Number(process.argv[2]);
const echo = echoController();
const board = new ServedController({ ...echo, hello: { ...echo.hello, uid: `process ${process.pid}` } }, (bytes) => {
  if (bytes[2] === DRIVE.id && left-- === 0) {
    process.stderr.write('assertion failed: rotor\n');
    process.exit(3);
  }
  process.stdout.write(bytes.slice());
});
process.stdin.on('data', (chunk) => board.receiver.push(chunk));
