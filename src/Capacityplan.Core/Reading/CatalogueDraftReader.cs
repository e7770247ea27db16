using System.Collections.Immutable;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads a catalogue's texts. A row that cannot be read leaves in the catalogue the machine it last was; so do a name and a
/// day that cannot.
/// </summary>
public static class CatalogueDraftReader
{
    /// <summary>Reads a catalogue.</summary>
    /// <param name="draft">The texts.</param>
    public static CatalogueDraftReading Read(CatalogueDraft draft)
    {
        var problems = ImmutableArray.CreateBuilder<Problem>();
        string name = draft.Name.Trim();
        if (name.Length == 0)
        {
            problems.Add(Wrong($"A catalogue needs a name. Until then it is called {draft.KeptName}.", nameof(CatalogueDraft.Name)));
            name = draft.KeptName;
        }

        DateOnly? pricesOf = draft.KeptPricesOf;
        if (string.IsNullOrWhiteSpace(draft.PricesOf))
            pricesOf = null;
        else if (DateText.TryRead(draft.PricesOf, out DateOnly day))
            pricesOf = day;
        else
            problems.Add(Wrong($"\"{FigureReader.Shown(draft.PricesOf)}\" is not a day, or could be two. Type one such as 3 Nov 2026.", nameof(CatalogueDraft.PricesOf)));

        (ImmutableArray<MachineDraft> rows, ImmutableArray<MachineType> machines, ImmutableArray<CellProblem> cells) = ReadRows(draft.Machines);
        var rateProblems = new List<RateProblem>();
        (ImmutableArray<RateDraft> lines, ImmutableArray<CurrencyRate> rates) = RateReader.Read(draft.Rates, rateProblems);
        return new CatalogueDraftReading
        {
            Draft = draft with { KeptName = name, KeptPricesOf = pricesOf, Machines = rows, Rates = lines },
            Catalogue = new Catalogue { Name = name, PricesOf = pricesOf, PricesAreInvented = draft.PricesAreInvented, Machines = machines, Rates = rates },
            Problems = problems.ToImmutable(),
            Cells = cells,
            Rates = [.. rateProblems],
        };
    }

    private static (ImmutableArray<MachineDraft> Rows, ImmutableArray<MachineType> Machines, ImmutableArray<CellProblem> Cells) ReadRows(
        ImmutableArray<MachineDraft> drafts)
    {
        var read = new MachineType?[drafts.Length];
        var problems = new List<CellProblem>();
        for (int row = 0; row < drafts.Length; row++)
        {
            var reader = new CellReader(row, drafts[row]);
            read[row] = reader.Read();
            problems.AddRange(reader.Problems);
        }

        MachineType?[] kept = [.. drafts.Select(draft => draft.Kept)];
        RefuseTakenNames(read, kept, problems);

        var rows = ImmutableArray.CreateBuilder<MachineDraft>(drafts.Length);
        var machines = ImmutableArray.CreateBuilder<MachineType>(drafts.Length);
        for (int row = 0; row < drafts.Length; row++)
        {
            MachineType? stands = read[row] ?? kept[row];
            rows.Add(drafts[row] with { Kept = stands });
            if (stands is not null)
                machines.Add(stands);
        }

        return (rows.MoveToImmutable(), machines.ToImmutable(), [.. problems.OrderBy(problem => problem.Row).ThenBy(problem => problem.Way).ThenBy(problem => problem.Field)]);
    }

    /// <summary>
    /// A name belongs to one machine. Of several rows that claim it, a row that stands in the catalogue under it keeps it,
    /// else the first. A refused row falls back on the machine it was, whose name may refuse a further one in turn.
    /// </summary>
    private static void RefuseTakenNames(MachineType?[] read, MachineType?[] kept, List<CellProblem> problems)
    {
        bool anyRefused;
        do
        {
            anyRefused = false;
            var taken = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
            foreach (int row in Enumerable.Range(0, read.Length).OrderBy(row => Claim(read[row], kept[row])))
            {
                if ((read[row] ?? kept[row]) is not { } stands || taken.Add(stands.Name))
                    continue;
                anyRefused = true;
                if (read[row] is null)
                {
                    kept[row] = null;
                    continue;
                }

                read[row] = null;
                problems.Add(new CellProblem(row, MachineField.Name, Wrong(
                    $"Another machine is called {stands.Name} already. Give this one a name of its own.", CellReader.Path(row, MachineField.Name))));
            }
        }
        while (anyRefused);
    }

    /// <summary>Who comes first for a name: a machine that only stands, then one that keeps its name, then a new claim.</summary>
    private static int Claim(MachineType? read, MachineType? kept) =>
        read is null ? 0 : string.Equals(read.Name, kept?.Name, StringComparison.OrdinalIgnoreCase) ? 1 : 2;

    private static Problem Wrong(string message, string path) => new(ProblemSeverity.Warning, message, Path: path);
}
