import { checkLedger, type LedgerCheck, openStorage } from "@fellmark/jobs";
import { FellmarkError } from "@fellmark/units";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import { printText } from "../output/print.ts";

const DATA_DIR = "data folder of the service";

/** Adds `ledger check`. */
export function addLedgerCommands(program: Command, context: CommandContext): void {
  const example = "\nExample:\n  fellmark ledger check .data --mend";
  const ledger = program
    .command("ledger")
    .summary("Compare the records of the service with its files: ledger check")
    .description("Compare the records of the service with its files")
    .addHelpText("after", example);
  ledger
    .command("check")
    .summary("Find results that lack a file or are damaged, and folders that belong to no job")
    .description(
      "Read every file of every result and find what is missing, damaged or left over. May run beside the service",
    )
    .argument("<DIR>", DATA_DIR)
    .option("--mend", "let damaged results expire, so that a retry computes them again, and remove folders left over")
    .addHelpText("after", example)
    .action((dir: string, { mend = false }: { mend?: boolean }) => check(resolvePath(context.config, dir), mend));
}

async function check(dataDir: string, mend: boolean): Promise<void> {
  const { ledger, store, queue } = await openStorage({ dataDir, onError: () => undefined, mayCreate: false });
  try {
    const found = await checkLedger({ ledger, store }, { mend });
    printText(formatCheck(found));
    const left = found.findings.filter(({ isMended }) => !isMended).length;
    if (left > 0) throw new FellmarkError("ledger_findings", `${left} findings are not mended`);
  } finally {
    await queue.close(0);
    await ledger.close();
  }
}

function formatCheck({ results, findings }: LedgerCheck): string {
  const lines = findings.map(({ code, id, detail, isMended }) =>
    [code, id, detail, isMended ? "mended" : "not mended"].filter((text) => text !== "").join("  "),
  );
  return [...lines, `${results} results read, ${findings.length} findings`].join("\n");
}
