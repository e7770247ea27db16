using System.ComponentModel;
using System.ComponentModel.DataAnnotations;
using Capacityplan.Core.Machines;

namespace Capacityplan.Web.Api;

/// <summary>A way to pay for a machine. A field that does not belong to its kind is an error.</summary>
public sealed record PurchaseRequest
{
    /// <summary>How it is paid for: "metered" (by the time used), "term" (by the month), "interruptible" (by the time used, and its
    /// owner may take it back) or "owned" (bought).</summary>
    [Required]
    public string? Kind { get; init; }

    /// <summary>Metered and interruptible, which need it: price of an hour, in the currency.</summary>
    [Range(0.0, 1e6)]
    public decimal? PricePerHour { get; init; }

    /// <summary>ISO 4217 code of every amount in the option.</summary>
    [Required]
    [RegularExpression("^[A-Z]{3}$", ErrorMessage = "it has to be a currency code of three capital letters (ISO 4217), such as EUR")]
    public string? Currency { get; init; }

    /// <summary>Metered and interruptible: billing increment, seconds; time used is billed in whole increments.</summary>
    [Range(1e-6, 1e9)]
    [DefaultValue(1.0)]
    public double? IncrementSeconds { get; init; }

    /// <summary>Metered and interruptible: the least that is billed for a run, seconds.</summary>
    [Range(0.0, 1e9)]
    [DefaultValue(0.0)]
    public double? MinimumSeconds { get; init; }

    /// <summary>Metered: true where it is never switched off, so that 730 hours a month are paid for.</summary>
    [DefaultValue(false)]
    public bool? AlwaysOn { get; init; }

    /// <summary>Term, which needs it: price of a month.</summary>
    [Range(0.0, 1e9)]
    public decimal? PricePerMonth { get; init; }

    /// <summary>Term: paid once, at the start; spread over the months.</summary>
    [Range(0.0, 1e9)]
    [DefaultValue(typeof(decimal), "0")]
    public decimal? Upfront { get; init; }

    /// <summary>Term, which needs it: its length, months.</summary>
    [Range(1, 1_200)]
    public int? Months { get; init; }

    /// <summary>Interruptible, which needs it: interruptions in an hour of use, on average.</summary>
    [Range(0.0, InterruptiblePurchase.MostInterruptionsPerHour)]
    public double? InterruptionsPerHour { get; init; }

    /// <summary>Interruptible, which needs it: seconds from an interruption until the job goes on, a new machine's start-up included.</summary>
    [Range(0.0, 1e9)]
    public double? RestartSeconds { get; init; }

    /// <summary>Interruptible: seconds that writing a checkpoint takes; where it is not given the job writes none and begins anew
    /// after each interruption.</summary>
    [Range(1e-6, 1e9)]
    public double? CheckpointSeconds { get; init; }

    /// <summary>Owned, which needs it: price of the machine.</summary>
    [Range(0.0, 1e9)]
    public decimal? PurchasePrice { get; init; }

    /// <summary>Owned, which needs it: months it is used for, over which its price is spread.</summary>
    [Range(1, 1_200)]
    public int? LifetimeMonths { get; init; }

    /// <summary>Owned: power it draws while it is on, W.</summary>
    [Range(0.0, 1e9)]
    [DefaultValue(0.0)]
    public double? Watts { get; init; }

    /// <summary>Owned: price of a kilowatt-hour.</summary>
    [Range(0.0, 1e6)]
    [DefaultValue(typeof(decimal), "0")]
    public decimal? PricePerKilowattHour { get; init; }

    /// <summary>Owned: energy paid for over what the machine itself draws, for cooling and supply.</summary>
    [Range(1.0, 100.0)]
    [DefaultValue(1.0)]
    public double? OverheadFactor { get; init; }

    /// <summary>Owned: hours it is on, a month.</summary>
    [Range(0.0, 744.0)]
    [DefaultValue(730.0)]
    public double? HoursPerMonth { get; init; }

    /// <summary>Any kind: licence fee for each physical core and month.</summary>
    [Range(0.0, 1e9)]
    [DefaultValue(typeof(decimal), "0")]
    public decimal? LicencePerCoreMonth { get; init; }

    /// <summary>Any kind: licence fee for the machine and month.</summary>
    [Range(0.0, 1e9)]
    [DefaultValue(typeof(decimal), "0")]
    public decimal? LicencePerMachineMonth { get; init; }
}

/// <summary>What one unit of a currency is worth in another. It holds both ways.</summary>
public sealed record RateRequest
{
    /// <summary>ISO 4217 code of the currency that is converted.</summary>
    [Required]
    [RegularExpression("^[A-Z]{3}$", ErrorMessage = "it has to be a currency code of three capital letters (ISO 4217), such as EUR")]
    public string? From { get; init; }

    /// <summary>ISO 4217 code of the currency it is converted into.</summary>
    [Required]
    [RegularExpression("^[A-Z]{3}$", ErrorMessage = "it has to be a currency code of three capital letters (ISO 4217), such as EUR")]
    public string? To { get; init; }

    /// <summary>Units of to for one of from.</summary>
    [Required]
    [Range(1e-6, 1e6)]
    public decimal? Rate { get; init; }

    /// <summary>The day the rate was taken, such as "2026-11-03".</summary>
    [Required]
    [RegularExpression("^[0-9]{4}-[0-9]{2}-[0-9]{2}$", ErrorMessage = "it has to be a day such as 2026-11-03")]
    public string? TakenOn { get; init; }
}
