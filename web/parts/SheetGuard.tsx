/** Says in a sentence what kept a sheet from being shown, where a blank page would stand otherwise. */
import { Component, type ReactNode } from 'react';
import { SheetAbsent } from '../sheets.ts';
import { Sheet } from './Sheet.tsx';

interface Props {
  /** Another sheet is another try. */
  readonly sheet: string;
  readonly chosen: { carId: string; buildId: string } | null;
  readonly children: ReactNode;
}

export class SheetGuard extends Component<Props, { readonly fault: unknown; readonly sheet: string }> {
  static getDerivedStateFromError(fault: unknown) {
    return { fault };
  }
  static getDerivedStateFromProps({ sheet }: Props, state: { readonly fault: unknown; readonly sheet: string }) {
    return sheet === state.sheet ? null : { sheet, fault: null };
  }
  override state = { fault: null as unknown, sheet: this.props.sheet };
  override render(): ReactNode {
    const { fault } = this.state;
    if (fault === null) return this.props.children;
    return (
      <Sheet title="Not shown" chosen={this.props.chosen}>
        <section className="ruled" role="alert">
          <h2>
            {fault instanceof SheetAbsent
              ? 'This sheet could not be fetched, because Boostwright was stopped or renewed meanwhile: see that it runs, then load the page again.'
              : `This sheet could not be drawn (${fault instanceof Error ? fault.message : String(fault)}): load the page again, or go to another sheet.`}
          </h2>
          <button type="button" className="btn" onClick={() => location.reload()}>
            Load the page again
          </button>
        </section>
      </Sheet>
    );
  }
}
