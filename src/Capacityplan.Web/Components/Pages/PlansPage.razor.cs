using System.Collections.Immutable;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Layout;
using Capacityplan.Web.Components.Plans;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Components.Pages;

/// <summary>The list of plans. What is looked for is in the address, so that a link to it shows the same.</summary>
public sealed partial class PlansPage : IDisposable
{
    private const string FindKey = "find";
    private const string ShowKey = "show";

    /// <summary>What is typed is looked for after so much silence.</summary>
    private static readonly TimeSpan s_silence = TimeSpan.FromMilliseconds(200);

    private readonly Stack<ListedPlan> _deleted = new();
    private readonly Dictionary<Guid, PlanRow?> _rows = [];
    private PlanList? _list;
    private ImmutableArray<ListedPlan> _shown = [];
    private ITimer? _silence;
    private UndoBar? _undo;
    private string _typed = "";
    private string _lookedFor = "";
    private string? _said;
    private Guid? _copy;
    private bool _focusUndo;
    private Guid? _focusRow;

    /// <summary>What is looked for.</summary>
    [SupplyParameterFromQuery(Name = FindKey)]
    public string? Find { get; set; }

    /// <summary>The state to show, as <see cref="ListedState"/> in lower case.</summary>
    [SupplyParameterFromQuery(Name = ShowKey)]
    public string? Show { get; set; }

    [Inject]
    private PlanStore Store { get; init; } = default!;

    [Inject]
    private CatalogueStore Catalogues { get; init; } = default!;

    [Inject]
    private NavigationManager Navigation { get; init; } = default!;

    [Inject]
    private TimeProvider Clock { get; init; } = default!;

    private ListedState? Shown => Enum.TryParse(Show, ignoreCase: true, out ListedState state) && Enum.IsDefined(state) ? state : null;

    private bool IsNarrowed => Shown is not null || !string.IsNullOrWhiteSpace(_lookedFor);

    private string NothingWords => (string.IsNullOrWhiteSpace(_lookedFor), Shown) switch
    {
        (true, { } state) => $"No plan is in the state “{PlanList.Word(state)}” now.",
        (false, { } state) => $"No plan in the state “{PlanList.Word(state)}” has “{_lookedFor.Trim()}” in its name, owner or answer.",
        _ => $"No plan has “{_lookedFor.Trim()}” in its name, owner or answer.",
    };

    /// <summary>The last deletion can be undone, and then the one before it.</summary>
    private string? DeletedWords => _deleted.TryPeek(out ListedPlan? last) ? $"Deleted “{last.Name}”." : null;

    /// <inheritdoc/>
    public void Dispose() => _silence?.Dispose();

    /// <inheritdoc/>
    protected override async Task OnInitializedAsync() => await ReadAsync();

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        // Only an address that did not come from the field below changes what the field holds: a link, or back and forward.
        if ((Find ?? "") != _lookedFor)
            _typed = _lookedFor = Find ?? "";
        Narrow();
    }

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (_focusUndo && _undo is not null)
        {
            _focusUndo = false;
            await _undo.FocusAsync();
        }

        if (_focusRow is { } id && _rows.GetValueOrDefault(id) is { } row)
        {
            _focusRow = null;
            await row.FocusAsync();
        }
    }

    private async Task ReadAsync()
    {
        ImmutableArray<StoredPlan> plans = await Store.ListAsync();
        ImmutableArray<StoredCatalogue> catalogues = await Catalogues.ListAsync();
        DateOnly today = DateOnly.FromDateTime(Clock.GetLocalNow().Date);
        // Drafts without an answer are read for what they wait for, and a paste may be long.
        _list = await Task.Run(() => PlanList.Of(plans, catalogues, today));
        Narrow();
    }

    private void Narrow() => _shown = _list?.Find(_lookedFor, Shown) ?? [];

    // Bound with get and set: a plain value would be sent back with every key, over what was typed meanwhile.
    private void Type(string? text)
    {
        _typed = text ?? "";
        _silence ??= Clock.CreateTimer(_ => _ = InvokeAsync(LookFor), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        _silence.Change(s_silence, Timeout.InfiniteTimeSpan);
    }

    private void LookFor()
    {
        if (_lookedFor == _typed)
            return;
        _lookedFor = _typed;
        Narrow();
        StateHasChanged();
        Navigation.NavigateTo(Navigation.GetUriWithQueryParameter(FindKey, _typed.Length > 0 ? _typed : null), replace: true);
    }

    private void ShowAll()
    {
        _typed = _lookedFor = "";
        Narrow();
        Navigation.NavigateTo(Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { [FindKey] = null, [ShowKey] = null }));
    }

    private string AddressOf(ListedState? state) =>
        Navigation.GetUriWithQueryParameter(ShowKey, state?.ToString().ToLowerInvariant());

    private async Task StartAsync(string timings) =>
        Open(await Store.CreateAsync(new PlanDraft { Name = "New plan", TimingsText = timings }));

    private async Task OpenExampleAsync()
    {
        var demo = DemoData.Load();
        if (await Catalogues.GetDefaultAsync() is null)
            await Catalogues.CreateAsync(demo.Catalogue);
        Open(await Store.CreateAsync(demo.Plan));
    }

    private void Open(StoredPlan plan) => Navigation.NavigateTo($"plans/{plan.Id}");

    private async Task DuplicateAsync(ListedPlan plan)
    {
        StoredPlan? copy = await Store.DuplicateAsync(plan.Id);
        await ReadAsync();
        Say(copy is null ? $"“{plan.Name}” was deleted elsewhere meanwhile." : $"Made “{copy.Name}”.", copy?.Id);
    }

    private async Task DeleteAsync(ListedPlan plan)
    {
        bool isDeleted = await Store.DeleteAsync(plan.Id);
        await ReadAsync();
        _rows.Remove(plan.Id);
        if (!isDeleted)
        {
            Say($"“{plan.Name}” was deleted elsewhere already.");
            return;
        }

        _deleted.Push(plan);
        Say(null);
        _focusUndo = true;
    }

    private async Task PutBackAsync()
    {
        ListedPlan plan = _deleted.Pop();
        bool isBack = await Store.RestoreAsync(plan.Id);
        await ReadAsync();
        if (!isBack)
        {
            Say($"“{plan.Name}” cannot be put back any more.");
            return;
        }

        Say(null);
        _focusRow = plan.Id;
    }

    private void Say(string? words, Guid? copy = null) => (_said, _copy) = (words, copy);
}
