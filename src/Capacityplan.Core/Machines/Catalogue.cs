using System.Collections.Immutable;

namespace Capacityplan.Core.Machines;

/// <summary>A list of machines with the date of its prices.</summary>
public sealed record Catalogue
{
    /// <summary>Its name; not blank.</summary>
    public required string Name { get; init => field = Require.NotBlank(value, nameof(Name)); }

    /// <summary>The day the prices were taken; null where not known.</summary>
    public DateOnly? PricesOf { get; init; }

    /// <summary>True where the prices are invented, as the demo's are; the page says so beside them.</summary>
    public bool PricesAreInvented { get; init; }

    /// <summary>The machines, in the order entered; names are unique.</summary>
    public required ImmutableArray<MachineType> Machines
    {
        get;
        init
        {
            var seen = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
            foreach (MachineType machine in value)
            {
                if (!seen.Add(machine.Name))
                    throw new ArgumentException($"Two machines are called {machine.Name}; give one another name.", nameof(Machines));
            }

            field = value;
        }
    }
}
