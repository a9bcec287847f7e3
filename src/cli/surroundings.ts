/** What the program around the command line gives it. */
export interface Surroundings {
  readonly version: string;
  /** Serves until it is stopped; prints the address itself. */
  readonly serve: (options: { port: number; garage: string }) => Promise<void>;
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  readonly env: Readonly<Record<string, string | undefined>>;
}
