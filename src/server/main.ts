/** Starts the server: a garage opened (with the demo cars where it is empty), a port taken, an address printed. */
import { BadInput, openDesk } from '../app/index.ts';
import { buildServer } from './server.ts';

export interface ServeOptions {
  readonly port: number;
  readonly garage: string;
  /** Folder of the demo garage. */
  readonly demo: string;
  readonly pages: string | null;
}

/** Serves until told to stop; resolves with what stops it. */
export const serve = async ({
  port,
  garage,
  demo,
  pages,
}: ServeOptions): Promise<{ address: string; close: () => Promise<void> }> => {
  const desk = openDesk({ garage, worker: new URL('./compute-worker.mjs', import.meta.url) });
  const server = await buildServer({
    desk,
    pages,
    onFault: (error) =>
      process.stderr.write(`${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`),
  });
  const close = async () => {
    await server.close();
    await desk.close();
  };
  try {
    await server.listen({ host: '127.0.0.1', port });
  } catch (error) {
    await close();
    const code = error instanceof Error && 'code' in error ? error.code : '';
    if (code === 'EADDRINUSE') {
      throw new BadInput(
        'port-taken',
        `Port ${port} is in use on this computer; end the other program or choose one, like PORT=4681.`,
      );
    }
    if (code === 'EACCES')
      throw new BadInput('port-refused', `Port ${port} may not be used here; choose one over 1023.`);
    throw error;
  }
  const [bound] = server.addresses();
  if (desk.cars().cars.length === 0) {
    process.stderr.write('First start: putting two invented cars and their logs into the empty garage.\n');
  }
  await desk.seedDemo(demo);
  return { address: `http://127.0.0.1:${typeof bound === 'object' ? bound.port : port}/`, close };
};
