namespace Capacityplan.Core.Jobs;

/// <summary>A stretch of a job that ends before the next one starts.</summary>
public abstract record Phase
{
    private protected Phase(string name) => Name = Require.NotBlank(name);

    /// <summary>What people call it; not empty.</summary>
    public string Name { get; }

    /// <summary>Mean T1 of the phase, seconds, what the pool costs on one core counted; 0 or more.</summary>
    public abstract double WorkSeconds { get; }

    /// <summary>Mean T_inf of the phase, seconds, forks and joins on the longest chain counted; 0 or more.</summary>
    public abstract double SpanSeconds { get; }
}

/// <summary>A phase that one worker runs while the others are idle.</summary>
public sealed record SerialPhase : Phase
{
    /// <summary>States its length.</summary>
    /// <param name="name">What people call it; not empty.</param>
    /// <param name="seconds">How long it takes, seconds; 0 or more.</param>
    /// <exception cref="ArgumentException">The name is empty.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The figure is NaN, infinite or below 0.</exception>
    public SerialPhase(string name, double seconds)
        : base(name) => Seconds = Require.NotNegative(seconds);

    /// <summary>How long it takes, seconds; 0 or more.</summary>
    public double Seconds { get; }

    /// <inheritdoc/>
    public override double WorkSeconds => Seconds;

    /// <inheritdoc/>
    public override double SpanSeconds => Seconds;
}

/// <summary>A phase whose units are split over the workers by halving, down to the grain.</summary>
public sealed record ParallelPhase : Phase
{
    /// <summary>States the phase.</summary>
    /// <param name="name">What people call it; not empty.</param>
    /// <param name="units">N, units of work; from 1 to <see cref="RangeTree.MostUnits"/>.</param>
    /// <param name="unitSizes">How long a unit takes.</param>
    /// <param name="grain">Most units that are run without splitting further; 1 or more.</param>
    /// <param name="costs">What the pool costs; the defaults of <see cref="SchedulingCosts"/> where null.</param>
    /// <param name="bytesPerUnit">Bytes of memory traffic for each unit; 0 or more.</param>
    /// <exception cref="ArgumentException">The name is empty.</exception>
    /// <exception cref="ArgumentOutOfRangeException">
    /// A figure is NaN, infinite or outside its range, or the interval between steal tries is 0: endlessly many would be made.
    /// </exception>
    public ParallelPhase(
        string name, long units, TaskSizes unitSizes, long grain = 1, SchedulingCosts? costs = null, double bytesPerUnit = 0)
        : base(name)
    {
        ArgumentNullException.ThrowIfNull(unitSizes);
        Tree = new RangeTree(units, grain);
        UnitSizes = unitSizes;
        Costs = costs ?? new SchedulingCosts();
        Require.Positive(Costs.StealAttemptSeconds, nameof(SchedulingCosts.StealAttemptSeconds));
        BytesPerUnit = Require.NotNegative(bytesPerUnit);
    }

    /// <summary>N, units of work; 1 or more.</summary>
    public long Units => Tree.Units;

    /// <summary>Most units that are run without splitting further; 1 or more.</summary>
    public long Grain => Tree.Grain;

    /// <summary>How long a unit takes.</summary>
    public TaskSizes UnitSizes { get; }

    /// <summary>What the pool costs.</summary>
    public SchedulingCosts Costs { get; }

    /// <summary>Bytes of memory traffic for each unit; 0 or more.</summary>
    public double BytesPerUnit { get; }

    /// <summary>How the units are split.</summary>
    public RangeTree Tree { get; }

    /// <summary>Mean seconds of the units alone, on one core; above 0.</summary>
    public double UsefulSeconds => Units * UnitSizes.Mean;

    /// <summary>Mean T1: the units and all forks, joins and combines, seconds; above 0.</summary>
    public override double WorkSeconds => UsefulSeconds + Tree.OverheadSeconds(Costs);

    /// <summary>
    /// Mean time of the longest leaf, seconds; above 0. See <see cref="TaskSizes.ExpectedLongestTask"/> for its limits. Where
    /// leaves lie on two levels and one holds twice as many units as another, the longest of the one kind that has it longer.
    /// </summary>
    public double ExpectedLongestTaskSeconds => Tree.LeafSizes().Max(leaf => UnitSizes.ExpectedLongestTask(leaf.Count, leaf.Units));

    /// <summary>
    /// Mean T_inf, seconds; above 0. Exact for constant units; otherwise an estimate, the longest leaf being taken to lie on
    /// the longest chain of forks and joins, and leaves that hold one unit less than others to be as large (1 to 3 % too long
    /// where they hold some twenty).
    /// </summary>
    public override double SpanSeconds => UnitSizes is ConstantSizes constant
        ? Tree.SpanSeconds(constant.Value, Costs)
        : Math.Min(WorkSeconds, ExpectedLongestTaskSeconds + Tree.SpanSeconds(0, Costs));

    /// <summary>Phases are equal when they are described alike.</summary>
    /// <param name="other">The other phase.</param>
    public bool Equals(ParallelPhase? other) =>
        other is not null && Name == other.Name && Units == other.Units && Grain == other.Grain
        && UnitSizes == other.UnitSizes && Costs == other.Costs && BytesPerUnit == other.BytesPerUnit;

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Name, Units, Grain, UnitSizes, Costs, BytesPerUnit);
}
