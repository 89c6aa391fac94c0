/**
 * The other end of the link bench, a process of its own: answers frames as a board does, and on a block that begins with
 * ECHO answers with as many bytes as a Drive frame has, untouched. Prints its port.
 */
import { type AddressInfo, createServer } from 'node:net';
import { ServedController } from '../../src/links/served.ts';
import { echoController } from '../links/echo-controller.ts';
import { ECHO, ECHO_BYTES } from './link-work.ts';

const answer = new Uint8Array(ECHO_BYTES.back).fill(ECHO);
const server = createServer((socket) => {
  socket.setNoDelay(true);
  // As the host sends its Sense: the bytes stay as they are until the next one, and that comes after this answer.
  const board = new ServedController(echoController(), (bytes) => socket.write(bytes));
  socket.on('data', (chunk) => {
    if (chunk[0] === ECHO) socket.write(answer);
    else board.receiver.push(chunk);
  });
  socket.on('error', () => undefined);
  socket.on('close', () => server.close());
});
server.listen(0, '127.0.0.1', () => console.log((server.address() as AddressInfo).port));
