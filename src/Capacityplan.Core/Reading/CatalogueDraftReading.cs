using System.Collections.Immutable;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>Something wrong or doubtful in a cell of a catalogue.</summary>
/// <param name="Row">The machine's place in the draft, from 0.</param>
/// <param name="Field">The cell.</param>
/// <param name="Problem">What it is. A note leaves the cell as it was read; anything else keeps the row from being read.</param>
/// <param name="Way">The further way to pay it is in, from 1; 0 for a cell of the machine's own row.</param>
public sealed record CellProblem(int Row, MachineField Field, Problem Problem, int Way = 0)
{
    /// <summary>True where it keeps the row from being read.</summary>
    public bool Refuses => Problem.Severity != ProblemSeverity.Note;
}

/// <summary>What a catalogue's texts were understood as.</summary>
public sealed record CatalogueDraftReading
{
    /// <summary>The draft read; each row holds the machine that stands for it now.</summary>
    public required CatalogueDraft Draft { get; init; }

    /// <summary>The catalogue: every row that can be read, and for one that cannot the machine it last was, if it was one.</summary>
    public required Catalogue Catalogue { get; init; }

    /// <summary>What is wrong or doubtful in the name and the day; paths are names of <see cref="CatalogueDraft"/>.</summary>
    public required ImmutableArray<Problem> Problems { get; init; }

    /// <summary>What is wrong or doubtful in the cells, by row.</summary>
    public required ImmutableArray<CellProblem> Cells { get; init; }

    /// <summary>What is wrong or doubtful in the conversion rates, by line.</summary>
    public required ImmutableArray<RateProblem> Rates { get; init; }

    /// <summary>True where the catalogue says all that is typed.</summary>
    public bool IsWhole => Problems.All(problem => problem.Severity == ProblemSeverity.Note) && !Cells.Any(cell => cell.Refuses)
        && Rates.All(rate => rate.Problem.Severity == ProblemSeverity.Note);
}
