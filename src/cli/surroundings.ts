/** What the program around the command line gives it. */
export interface Surroundings {
  readonly version: string;
  /** Serves until it is stopped; prints the address itself. */
  readonly serve: (options: { port: number; garage: string }) => Promise<void>;
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  /** Writes how far long work is over the line before, null when it is done; absent where standard error is no terminal. */
  readonly progress?: (text: string | null) => void;
  /** Hears Ctrl+C for as long as the work lasts; gives back what ends the hearing. Absent: the program just ends. */
  readonly interrupted?: (stop: () => void) => () => void;
  readonly env: Readonly<Record<string, string | undefined>>;
}
